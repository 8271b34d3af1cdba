"""Limits from a shop's own past: the first phase of a control chart.

The first castings of a piece set its centre line and limits. Castings that are plainly not of
the same kind are set aside, one pass after another, until what is left agrees with itself.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from floorboard.records.control_charts import ChartLimits, factors_for, limits_around
from floorboard.shop.checked_numbers import all_finite, whole

# Common practice, no source: twenty points before limits are called settled, two at the least.
SETTLED_COUNT = 20


@dataclass(frozen=True, slots=True)
class Baseline:
    """Limits from past values, which of them made the limits, and which were set aside."""

    limits: ChartLimits
    kept: tuple[int, ...]
    set_aside: tuple[int, ...]
    settled: bool
    sentence: str


def baseline_limits(values: Sequence[float], *, least_settled: int = SETTLED_COUNT) -> Baseline:
    """Individuals limits from a run of past values, points beyond them set aside.

    A moving range is only taken between two kept values that were cast one after the other, so
    a value set aside leaves no range behind. Never more than a third of the values is set
    aside: past that there is no one state to chart, and the sentence says so.

    Raises
    ------
    ValueError : with fewer than two values, or a value that is not a number.
    """
    numbers = all_finite(values, "Value", least=2)
    floor = whole(least_settled, "The number of castings for settled limits", least=2)
    kept = tuple(range(len(numbers)))
    limits = _limits_of(numbers, kept)
    unsteady = False
    while True:
        inside = tuple(i for i in kept if limits.lower <= numbers[i] <= limits.upper)
        if inside == kept:
            break
        trimmed = _limits_or_none(numbers, inside)
        if trimmed is None or 3 * len(inside) < 2 * len(numbers):
            unsteady = True
            break
        kept, limits = inside, trimmed
    set_aside = tuple(i for i in range(len(numbers)) if i not in set(kept))
    settled = len(kept) >= floor and not unsteady
    return Baseline(
        limits, kept, set_aside, settled, _say(len(kept), len(set_aside), floor, unsteady)
    )


def _limits_of(numbers: Sequence[float], kept: Sequence[int]) -> ChartLimits:
    ranges = [abs(numbers[b] - numbers[a]) for a, b in pairwise(kept) if b == a + 1]
    center = math.fsum(numbers[i] for i in kept) / len(kept)
    return limits_around(center, math.fsum(ranges) / len(ranges) / factors_for(2).d2)


def _limits_or_none(numbers: Sequence[float], kept: Sequence[int]) -> ChartLimits | None:
    neighbours = any(b == a + 1 for a, b in pairwise(kept))
    return _limits_of(numbers, kept) if neighbours else None


def _say(kept: int, aside: int, floor: int, unsteady: bool) -> str:
    if unsteady:
        return "These castings differ too much from each other to set limits; find out why first."
    away = f", {aside} set aside as unlike the rest" if aside else ""
    if kept < floor:
        return f"Limits from {kept} castings{away}; provisional until there are {floor}."
    return f"Limits from {kept} castings{away}."
