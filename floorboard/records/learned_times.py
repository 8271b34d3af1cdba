"""Hands-on durations learned from the log, safe from forgotten and double key presses.

A key pressed an hour late makes a twenty-minute task last eighty; a key pressed twice makes it
last no time. Such samples are set aside by one named rule, and the plan then uses a chosen
quantile of the rest. With too few samples the shop's own figure stands. The reason is always
told.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from floorboard.records.quantiles import RECOMMENDED_TYPE, quantile
from floorboard.shop.checked_numbers import above, finite, open_share, whole

OUTLIER_RULE = "modified z-score over 3.5 on log durations"
# Source of the rule, 3.5 and 0.6745: Iglewicz & Hoaglin, How to Detect and Handle Outliers
# (1993), given in NIST/SEMATECH e-Handbook 1.3.5.17.
_CUT_OFF = 3.5
_MAD_TO_SIGMA = 0.6745
# Logged to the minute, many samples are alike and their spread would be nothing; ten percent
# is the least spread a hands-on task is given (the shop's own rule, no source).
_LEAST_LOG_SPREAD = math.log(1.1) * _MAD_TO_SIGMA

# The shop's own defaults, no source: plan on what two times in three suffice.
PLANNED_QUANTILE = 0.65
LEAST_SAMPLES = 8


@dataclass(frozen=True, slots=True)
class LearnedTime:
    """Minutes to plan with, where they come from, and why.

    Attributes
    ----------
    minutes : the duration to plan with.
    source : ``learned`` from the log, or the shop's own figure (``stated``).
    used : samples that count.
    set_aside : samples left out by the outlier rule, in the order logged.
    median_minutes : middle of the samples that count; None when there are none.
    reason : one or two sentences.
    """

    minutes: float
    source: Literal["learned", "stated"]
    used: int
    set_aside: tuple[float, ...]
    median_minutes: float | None
    reason: str


def plausible_samples(
    samples_minutes: Sequence[float],
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Split samples into those that count and those set aside, each in the order logged.

    Durations of 0 or less are key presses, not work. Of the rest, a sample is set aside when
    its modified z-score, on the logarithm of the duration, exceeds 3.5. With fewer than four
    samples there is no telling which one is wrong, and all positive ones count.
    """
    samples = [finite(s, f"Duration {i} in minutes") for i, s in enumerate(samples_minutes, 1)]
    logs = [math.log(s) for s in samples if s > 0]
    if len(logs) < 4:
        return tuple(s for s in samples if s > 0), tuple(s for s in samples if s <= 0)
    middle = quantile(logs, 0.5)
    spread = max(quantile([abs(x - middle) for x in logs], 0.5), _LEAST_LOG_SPREAD)
    reach = _CUT_OFF * spread / _MAD_TO_SIGMA

    def counts(sample: float) -> bool:
        return sample > 0 and abs(math.log(sample) - middle) <= reach

    return tuple(s for s in samples if counts(s)), tuple(s for s in samples if not counts(s))


def learned_time(
    samples_minutes: Sequence[float],
    stated_minutes: float,
    *,
    planned_quantile: float = PLANNED_QUANTILE,
    least_samples: int = LEAST_SAMPLES,
    kind: int = RECOMMENDED_TYPE,
) -> LearnedTime:
    """Duration to plan a task with, from its logged samples.

    Parameters
    ----------
    samples_minutes : durations of one task (piece, step, person), in the order logged.
    stated_minutes : the shop's own figure, used below `least_samples`.
    planned_quantile : share of past times that the planned time should have covered.
    kind : Hyndman & Fan type of the quantile, 8 unless the shop wants another.

    Raises
    ------
    ValueError : for NaN or infinite samples, or a stated time that is not over 0.
    """
    stated = above(stated_minutes, 0, "The shop's own duration in minutes")
    share = open_share(planned_quantile, "The quantile to plan with")
    floor = whole(least_samples, "The least number of samples", least=1)
    used, set_aside = plausible_samples(samples_minutes)
    median = quantile(used, 0.5, kind=kind) if used else None
    away = _away(len(set_aside))
    if len(used) < floor:
        noun = "time" if len(used) == 1 else "times"
        reason = f"The shop's own {stated:g} min: {len(used)} logged {noun}, {floor} needed.{away}"
        return LearnedTime(stated, "stated", len(used), set_aside, median, reason)
    minutes = quantile(used, share, kind=kind)
    reason = (
        f"{minutes:.1f} min covers {100 * share:.0f} % of {len(used)} logged times "
        f"(the shop's own figure is {stated:g}).{away}"
    )
    return LearnedTime(minutes, "learned", len(used), set_aside, median, reason)


def _away(count: int) -> str:
    if count == 0:
        return ""
    return f" {count} set aside as key presses forgotten or doubled ({OUTLIER_RULE})."
