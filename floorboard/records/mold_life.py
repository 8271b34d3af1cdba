"""What a mold still has in it: remaining pulls, and the pull to retire it by.

Uses a Weibull life where enough molds of the kind have worn out, the plain survival curve
where only some have, and says that it does not know where none has.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from floorboard.records.mold_survival import survival_curve
from floorboard.records.weibull import fit_weibull
from floorboard.shop.checked_numbers import at_least, open_share, whole

# The shop's own defaults, no source: a Weibull life from five worn-out molds up, and a mold is
# retired before the chance of wearing out in use passes one in ten.
LEAST_WORN_OUT = 5
RETIRE_RISK = 0.10


@dataclass(frozen=True, slots=True)
class MoldForecast:
    """Forecast for one mold.

    Attributes
    ----------
    method : how it was reached; ``unknown`` leaves both figures None.
    remaining_pulls : mean pulls still to come; by the survival curve, counted only as far as
        the log reaches, so a floor.
    retire_at_pulls : last pull at which the chance of having worn out, for a mold that has
        come so far, is within the risk taken.
    """

    method: Literal["weibull", "survival curve", "unknown"]
    remaining_pulls: float | None
    retire_at_pulls: int | None
    sentence: str


def mold_forecast(
    mold: str,
    survived_pulls: int,
    pulls: Sequence[float],
    worn_out: Sequence[bool],
    *,
    retire_risk: float = RETIRE_RISK,
    least_worn_out: int = LEAST_WORN_OUT,
) -> MoldForecast:
    """Forecast for a mold that has made so many pulls, from all molds of its kind.

    Parameters
    ----------
    pulls, worn_out : the log's molds of this kind, as for `survival_curve`.
    retire_risk : chance of wearing out in use that the shop takes, such as 0.10.

    Raises
    ------
    ValueError : for impossible pulls, or a risk not between 0 and 1.
    """
    at_least(survived_pulls, 0, f"Pulls of {mold}")
    risk = open_share(retire_risk, "The risk")
    floor = whole(least_worn_out, "The least number of worn-out molds", least=2)
    if not pulls or not any(worn_out):
        return _unknown(f"No mold like {mold} has worn out yet, so its life is not known.")
    curve = survival_curve(pulls, worn_out)
    soonest = min(p for p, worn in zip(pulls, worn_out, strict=True) if worn)
    # Molds that all wore out at one pull, none lasting longer, fit no life curve.
    if curve.worn_out >= floor and curve.longest_pulls > soonest:
        life = fit_weibull(pulls, worn_out)
        remaining = life.expected_remaining(survived_pulls)
        retire = max(survived_pulls, math.floor(life.pulls_until(risk, survived=survived_pulls)))
        return MoldForecast("weibull", remaining, retire, _say(mold, remaining, retire, ""))
    left = curve.expected_remaining(survived_pulls)
    if left is None:
        return _unknown(f"{mold} has outlasted every mold like it in the log.")
    end = curve.pulls_until(risk, survived=survived_pulls)
    # A mold that wore out at its 54th pull was good for 53.
    retire_at = None if end is None else max(survived_pulls, math.ceil(end) - 1)
    note = f", from only {curve.worn_out} worn out"
    return MoldForecast("survival curve", left, retire_at, _say(mold, left, retire_at, note))


def _unknown(sentence: str) -> MoldForecast:
    return MoldForecast("unknown", None, None, sentence)


def _say(mold: str, remaining: float, retire_at: int | None, note: str) -> str:
    how = "at least" if note else "about"
    text = f"{mold} has {how} {remaining:.0f} pulls left{note}"
    return f"{text}; retire it by pull {retire_at}." if retire_at is not None else f"{text}."
