"""Drying to constant weight: is a casting dry enough to seal, and when will it be.

A casting is dry when its weight changes by less than a set percentage between weighings a set
time apart. Times are hours on any one clock, the same for all weighings of a casting.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from floorboard.shop.checked_numbers import above, finite

# The shop's own defaults, no source: under 0.1 % in a day.
CHANGE_PERCENT = 0.1
GAP_HOURS = 24.0


@dataclass(frozen=True, slots=True)
class Weighing:
    """One weighing of a casting: hours on a common clock, grams over 0."""

    hours: float
    grams: float


@dataclass(frozen=True, slots=True)
class DryRule:
    """Dry when the weight changes by less than this between weighings so far apart."""

    change_percent: float = CHANGE_PERCENT
    gap_hours: float = GAP_HOURS

    def __post_init__(self) -> None:
        if not 0 < finite(self.change_percent, "The change in percent") < 100:
            raise ValueError("The change in percent must lie between 0 and 100, such as 0.1.")
        above(self.gap_hours, 0, "The time between weighings in hours")


@dataclass(frozen=True, slots=True)
class DryingState:
    """Verdict on the weighings so far.

    Attributes
    ----------
    dry : True when the latest weighing meets the rule; None when no two are far enough apart.
    since_hours : the weighing from which on the rule has been met without a break.
    change_percent : change to the latest weighing from the one it is compared with; under 0
        when the casting became lighter.
    compared_hours : time between the two.
    """

    dry: bool | None
    since_hours: float | None
    change_percent: float | None
    compared_hours: float | None
    sentence: str


def drying_state(weighings: Sequence[Weighing], rule: DryRule | None = None) -> DryingState:
    """Judge weighings, oldest first, by the rule of constant weight.

    Each weighing is compared with the latest one at least `gap_hours` before it. A casting that
    gains weight from damp air is not dry either.

    Raises
    ------
    ValueError : for weights that are not over 0, or weighings not in the order of time.
    """
    chosen = rule or DryRule()
    checked = checked_weighings(weighings)
    since = change = apart = None
    for index, latest in enumerate(checked):
        before = [w for w in checked[:index] if latest.hours - w.hours >= chosen.gap_hours]
        if not before:
            continue
        earlier = before[-1]
        change = 100 * (latest.grams - earlier.grams) / earlier.grams
        apart = latest.hours - earlier.hours
        if abs(change) >= chosen.change_percent:
            since = None
        elif since is None:
            since = latest.hours
    dry = None if change is None else since is not None
    return DryingState(dry, since, change, apart, _say(dry, change, apart, chosen))


def checked_weighings(weighings: Sequence[Weighing]) -> tuple[Weighing, ...]:
    """The weighings, when weights are possible and times rise; else ``ValueError``."""
    for number, weighing in enumerate(weighings, 1):
        finite(weighing.hours, f"Time of weighing {number} in hours")
        above(weighing.grams, 0, f"Weighing {number} in grams")
    if any(b.hours <= a.hours for a, b in pairwise(weighings)):
        raise ValueError("Weighings must be in the order of time, each later than the one before.")
    return tuple(weighings)


def _say(dry: bool | None, change: float | None, apart: float | None, rule: DryRule) -> str:
    if dry is None or change is None or apart is None:
        return f"Weigh again at least {rule.gap_hours:g} h after the first weighing."
    how = "lighter" if change < 0 else "heavier"
    found = f"{abs(change):.2f} % {how} in {apart:.0f} h"
    if math.isclose(change, 0, abs_tol=5e-3):
        found = f"no change in {apart:.0f} h"
    if dry:
        return f"Dry enough to seal: {found}, under {rule.change_percent:g} %."
    return f"Not dry yet: {found}, must be under {rule.change_percent:g} %."
