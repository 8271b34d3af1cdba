"""Free time of people and free places of stations beside a sheet, in steps."""

from __future__ import annotations

from bisect import bisect_right, insort
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

Span = tuple[int, int]


class Gaps:
    """Stretches of free time of one person, disjoint and in order."""

    def __init__(self, stretches: Iterable[Span], busy: Iterable[Span]) -> None:
        self.spans: list[Span] = sorted(stretches)
        for start, end in busy:
            self.take(start, end)

    def take(self, start: int, end: int) -> None:
        """Remove a span from what is free."""
        if start >= end:
            return
        place = max(0, bisect_right(self.spans, (start, start)) - 1)
        while place < len(self.spans) and self.spans[place][0] < end:
            first, last = self.spans[place]
            if last <= start:
                place += 1
                continue
            pieces = [(first, start)] if first < start else []
            pieces += [(end, last)] if last > end else []
            self.spans[place : place + 1] = pieces
            place += len(pieces)

    def earliest(self, start: int, length: int) -> int | None:
        """Return the first step from `start` on at which `length` steps are free."""
        place = max(0, bisect_right(self.spans, (start, start)) - 1)
        for first, last in self.spans[place:]:
            at = max(first, start)
            if at + length <= last:
                return at
        return None


class Places:
    """Use of one station with so many places."""

    def __init__(self, places: int) -> None:
        self.places = places
        self.uses: list[tuple[int, int, int]] = []

    def take(self, start: int, end: int, units: int = 1) -> None:
        """Use places for a span."""
        if start < end:
            insort(self.uses, (start, end, units))

    def free_from(self, start: int, end: int, units: int = 1) -> int:
        """Return `start` if the places are free throughout, else a later step to try from."""
        if start >= end:
            return start
        here = [use for use in self.uses if use[0] < end and use[1] > start]
        if sum(use[2] for use in here) + units <= self.places:
            return start
        for at in sorted({max(use[0], start) for use in here}):
            if sum(u for first, last, u in here if first <= at < last) + units > self.places:
                blocking = [last for first, last, _ in here if first <= at < last]
                # What blocks at `at` has to end before a span that covers `at` can be free.
                return start + max(1, min(blocking) - at)
        return start
