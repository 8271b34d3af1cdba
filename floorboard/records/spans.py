"""Stretches of time as pairs of seconds since 1970: merged, cut and measured."""

from __future__ import annotations

from bisect import bisect_right
from itertools import accumulate
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterable, Sequence

Span = tuple[float, float]


def span_of(start: dt.datetime, end: dt.datetime) -> Span:
    """Return a stretch from two aware moments."""
    return start.timestamp(), end.timestamp()


def merged(spans: Iterable[Span]) -> list[Span]:
    """Return the stretches in order, joined where they touch; those without length left out."""
    found: list[Span] = []
    for start, end in sorted(spans):
        if end <= start:
            continue
        if found and start <= found[-1][1]:
            found[-1] = found[-1][0], max(found[-1][1], end)
        else:
            found.append((start, end))
    return found


def less(spans: Sequence[Span], taken: Sequence[Span]) -> list[Span]:
    """Return merged stretches without what lies in the taken ones, themselves merged."""
    left: list[Span] = []
    for whole_start, end in spans:
        start = whole_start
        for taken_start, taken_end in taken[max(0, bisect_right(taken, (start, start)) - 1) :]:
            if taken_start >= end:
                break
            if taken_end <= start:
                continue
            if start < taken_start:
                left.append((start, taken_start))
            start = taken_end
        if start < end:
            left.append((start, end))
    return left


def total_seconds(spans: Iterable[Span]) -> float:
    """Return how long the stretches are together; they must not overlap."""
    return sum(end - start for start, end in spans)


class Measure:
    """How much of merged stretches lies between two moments, found by halving."""

    def __init__(self, spans: Sequence[Span]) -> None:
        self.spans = spans
        self._starts = [start for start, _ in spans]
        self._before = [0.0, *accumulate(end - start for start, end in spans)]

    @property
    def total(self) -> float:
        """All of it, in seconds."""
        return self._before[-1]

    def between(self, start: float, end: float) -> float:
        """Return the seconds of the stretches that lie in `[start, end)`."""
        return max(0.0, self._until(end) - self._until(start))

    def _until(self, moment: float) -> float:
        place = bisect_right(self._starts, moment)
        if place == 0:
            return 0.0
        start, end = self.spans[place - 1]
        return self._before[place - 1] + min(moment, end) - start
