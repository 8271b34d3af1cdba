"""When a drying casting will meet the rule of constant weight, and how sure that is.

A casting far enough into drying nears its dry weight exponentially: w = W + A exp(-k t). The
curve is fitted to the weighings by least squares, and the answer is given as a range: every
drying rate k that fits the weighings nearly as well counts (profile likelihood; Bates & Watts,
*Nonlinear Regression Analysis and Its Applications*, 1988). Few or coarse weighings give a wide
range, or none.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from floorboard.records.drying import DryRule, Weighing, checked_weighings, drying_state
from floorboard.shop.checked_numbers import above

LEAST_WEIGHINGS = 4

# Two-sided 90 % points of Student's t by degrees of freedom, 1 up; the last for any more.
# Source: any table of the distribution; compared with a reference library in the tests.
_STUDENT_90 = (6.314, 2.920, 2.353, 2.132, 2.015, 1.943, 1.895, 1.860, 1.833, 1.812)
_STUDENT_90_MORE = 1.812
# Rates looked at, in units of one over the time the weighings span: from a curve that is as
# good as straight to one that is over before the second weighing.
_SLOWEST, _FASTEST, _RATES, _CLOSER = 0.02, 60.0, 300, 100


@dataclass(frozen=True, slots=True)
class DryingForecast:
    """Hours (the weighings' clock) at which the rule will be met: likely, earliest, latest.

    All None when the weighings cannot tell; `latest_hours` alone is None when no end is in
    sight at the slowest rate that still fits. `dry_grams` is the fitted dry weight.
    """

    likely_hours: float | None
    earliest_hours: float | None
    latest_hours: float | None
    dry_grams: float | None
    sentence: str


@dataclass(frozen=True, slots=True)
class _Fit:
    rate: float
    dry_grams: float
    excess_grams: float
    misfit: float


def drying_forecast(
    weighings: Sequence[Weighing],
    rule: DryRule | None = None,
    *,
    scale_step_grams: float = 1.0,
) -> DryingForecast:
    """Estimate when constant weight will be reached.

    Parameters
    ----------
    weighings : oldest first; four at least for an estimate.
    scale_step_grams : the scale's smallest step; no fit is believed to be finer than that.

    Raises
    ------
    ValueError : as `drying_state`, or for a scale step that is not over 0.
    """
    chosen = rule or DryRule()
    step = above(scale_step_grams, 0, "The scale's step in grams")
    checked = checked_weighings(weighings)
    state = drying_state(checked, chosen)
    if state.since_hours is not None:
        since = state.since_hours
        return DryingForecast(since, since, since, checked[-1].grams, state.sentence)
    if len(checked) < LEAST_WEIGHINGS:
        return _unknown(f"Weigh at least {LEAST_WEIGHINGS} times before an estimate can be made.")
    fits = _all_fits(checked)
    best = min(fits, key=lambda fit: fit.misfit)
    near = _near_as_good(fits, best, len(checked), step)
    if best.excess_grams <= 0 or near[0].rate == fits[0].rate == best.rate:
        return _unknown("The weighings do not level off yet; weigh again later.")
    times = [_time_met(fit, checked, chosen) for fit in near if fit.excess_grams > 0]
    likely = _time_met(best, checked, chosen)
    straight = near[0].rate == fits[0].rate
    latest = None if straight else max([likely, *times])
    earliest = min([likely, *times])
    sentence = _say(likely, earliest, latest, checked[-1].hours)
    return DryingForecast(likely, earliest, latest, best.dry_grams, sentence)


def _all_fits(weighings: Sequence[Weighing]) -> list[_Fit]:
    """The best curve of each rate, slowest first, among those with a dry weight over 0."""
    span = weighings[-1].hours - weighings[0].hours
    ratio = (_FASTEST / _SLOWEST) ** (1 / (_RATES - 1))
    coarse = [_fit_at(_SLOWEST / span * ratio**i, weighings) for i in range(_RATES)]
    best = min(coarse, key=lambda fit: fit.misfit)
    # With a fine scale only a sliver of rates fits: look closely around the best of them.
    steps = [j / _CLOSER for j in range(-_CLOSER, _CLOSER + 1) if j]
    close = [_fit_at(best.rate * ratio**j, weighings) for j in steps]
    fits = sorted((f for f in coarse + close if f.dry_grams > 0), key=lambda fit: fit.rate)
    return fits or coarse[-1:]


def _fit_at(rate: float, weighings: Sequence[Weighing]) -> _Fit:
    start = weighings[0].hours
    shapes = [math.exp(-rate * (w.hours - start)) for w in weighings]
    count = len(weighings)
    mean_shape = math.fsum(shapes) / count
    mean_grams = math.fsum(w.grams for w in weighings) / count
    spread = math.fsum((s - mean_shape) ** 2 for s in shapes)
    together = math.fsum(
        (s - mean_shape) * (w.grams - mean_grams) for s, w in zip(shapes, weighings, strict=True)
    )
    excess = together / spread
    dry = mean_grams - excess * mean_shape
    misfit = math.fsum(
        (w.grams - dry - excess * s) ** 2 for s, w in zip(shapes, weighings, strict=True)
    )
    return _Fit(rate, dry, excess, misfit)


def _near_as_good(fits: Sequence[_Fit], best: _Fit, count: int, step: float) -> list[_Fit]:
    """Fits within the 90 % profile of the best one, slowest first."""
    freedom = count - 3
    # Rounding to the scale's step has a variance of step^2 / 12.
    noise = max(best.misfit / freedom, step * step / 12)
    student = _STUDENT_90[freedom - 1] if freedom <= len(_STUDENT_90) else _STUDENT_90_MORE
    return [fit for fit in fits if fit.misfit <= best.misfit + student**2 * noise]


def _time_met(fit: _Fit, weighings: Sequence[Weighing], rule: DryRule) -> float:
    """Hours at which this curve first changes by less than the rule over the rule's gap."""
    start = weighings[0].hours
    first_chance = max(start + rule.gap_hours, weighings[-1].hours)
    share = rule.change_percent / 100
    # Excess y left at t, y exp(k gap) one gap before: y (exp(k gap) - 1) = share (W + y exp).
    growth = math.exp(min(fit.rate * rule.gap_hours, 700.0))
    if growth * (1 - share) <= 1:
        return first_chance
    left = share * fit.dry_grams / (growth * (1 - share) - 1)
    return max(first_chance, start + math.log(max(fit.excess_grams / left, 1.0)) / fit.rate)


def _unknown(sentence: str) -> DryingForecast:
    return DryingForecast(None, None, None, None, sentence)


def _say(likely: float, earliest: float, latest: float | None, last: float) -> str:
    soonest, middle = earliest - last, likely - last
    if latest is None:
        return f"Dry no sooner than {math.floor(soonest)} h after the last weighing; no end in sight yet."
    return (
        f"Dry about {middle:.0f} h after the last weighing "
        f"({math.floor(soonest)} to {math.ceil(latest - last)} h)."
    )
