"""A curve through a table's points that never overshoots them.

Piecewise cubic Hermite interpolation with the slopes of Fritsch & Butland (1984), SIAM J. Sci.
Stat. Comput. 5(2) 300-304, and three-point ends kept monotone as in Fritsch & Carlson (1980),
SIAM J. Numer. Anal. 17(2) 238-246. Between two points the curve stays between their values,
so a table that falls gives a curve that falls; through two points it is a straight line.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Self

if TYPE_CHECKING:
    from collections.abc import Sequence


@dataclass(frozen=True, slots=True)
class Monotone:
    """The curve: abscissae rising, at least two, with a value and a slope at each."""

    xs: tuple[float, ...]
    ys: tuple[float, ...]
    slopes: tuple[float, ...]

    @classmethod
    def through(cls, xs: Sequence[float], ys: Sequence[float]) -> Self:
        """Return the curve through points whose x rises from point to point.

        Raises
        ------
        ValueError
            With fewer than two points, or an x that does not rise.
        """
        if len(xs) != len(ys) or len(xs) < 2:
            raise ValueError(f"found {len(xs)} points, expected two or more")
        if any(right <= left for left, right in pairwise(xs)):
            raise ValueError(f"found {list(xs)}, expected them to rise from point to point")
        return cls(tuple(xs), tuple(ys), _slopes(xs, ys))

    def holds(self, x: float) -> bool:
        """Whether x lies between the ends, ends included."""
        return self.xs[0] <= x <= self.xs[-1]

    def at(self, x: float) -> float:
        """Value at x; past an end, the value at that end."""
        if x <= self.xs[0]:
            return self.ys[0]
        if x >= self.xs[-1]:
            return self.ys[-1]
        left = bisect_right(self.xs, x) - 1
        width = self.xs[left + 1] - self.xs[left]
        t = (x - self.xs[left]) / width
        low, high = self.ys[left], self.ys[left + 1]
        value = (
            (1 + 2 * t) * (1 - t) ** 2 * low
            + t * (1 - t) ** 2 * width * self.slopes[left]
            + t * t * (3 - 2 * t) * high
            + t * t * (t - 1) * width * self.slopes[left + 1]
        )
        return min(max(value, min(low, high)), max(low, high))

    def least_x_for(self, y: float) -> float | None:
        """Return the least x at which a rising or falling curve has the value y, if it has it."""
        if not min(self.ys) <= y <= max(self.ys):
            return None
        for left in range(len(self.xs) - 1):
            ends = self.ys[left], self.ys[left + 1]
            if y == ends[0]:
                return self.xs[left]
            if min(ends) <= y <= max(ends):
                return self._bisect(left, y)
        return self.xs[-1]

    def _bisect(self, left: int, y: float) -> float:
        rises = self.ys[left + 1] > self.ys[left]
        low, high = self.xs[left], self.xs[left + 1]
        for _ in range(60):
            middle = (low + high) / 2
            if (self.at(middle) < y) == rises:
                low = middle
            else:
                high = middle
        return high


def _slopes(xs: Sequence[float], ys: Sequence[float]) -> tuple[float, ...]:
    widths = [right - left for left, right in pairwise(xs)]
    rises = [(high - low) / width for (low, high), width in zip(pairwise(ys), widths, strict=True)]
    if len(rises) == 1:
        return (rises[0], rises[0])
    inner = [
        _harmonic(rises[index], rises[index + 1], widths[index], widths[index + 1])
        for index in range(len(rises) - 1)
    ]
    first = _end_slope(widths[0], widths[1], rises[0], rises[1])
    last = _end_slope(widths[-1], widths[-2], rises[-1], rises[-2])
    return (first, *inner, last)


def _harmonic(before: float, after: float, width_before: float, width_after: float) -> float:
    if before == 0 or after == 0 or (before > 0) != (after > 0):
        return 0.0
    first = 2 * width_after + width_before
    second = width_after + 2 * width_before
    return (first + second) / (first / before + second / after)


def _end_slope(width: float, next_width: float, rise: float, next_rise: float) -> float:
    slope = ((2 * width + next_width) * rise - width * next_rise) / (width + next_width)
    if rise == 0 or (slope > 0) != (rise > 0):
        return 0.0
    if (rise > 0) != (next_rise > 0) and abs(slope) > abs(3 * rise):
        return 3 * rise
    return slope
