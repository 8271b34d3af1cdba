"""How many units of a station are in use at every step, counted in binary over sets of steps.

Plane k holds the steps at which bit k of the count is set, so adding a stretch to the count of a
whole day is a ripple of carries through a few long ints, whatever the capacity.
"""

from __future__ import annotations

from floorboard.planning.steps import window


class Usage:
    """A count of units per step that stretches are added to and taken from."""

    __slots__ = ("_full", "_planes")

    def __init__(self) -> None:
        self._planes: list[int] = []
        self._full: dict[int, int] = {}

    def copy(self) -> Usage:
        """Return an independent copy."""
        other = object.__new__(Usage)
        other._planes = self._planes[:]
        other._full = self._full.copy()
        return other

    def add(self, start: int, end: int, units: int) -> None:
        """Use units over `[start, end)`."""
        span, planes, place = window(start, end), self._planes, 0
        self._full.clear()
        while span and units:
            carry, at = span if units & 1 else 0, place
            while carry:
                if at == len(planes):
                    planes.append(0)
                planes[at], carry = planes[at] ^ carry, planes[at] & carry
                at += 1
            units >>= 1
            place += 1
            if units and place > len(planes):
                planes.append(0)

    def remove(self, start: int, end: int, units: int) -> None:
        """Give back units over `[start, end)` that were used there."""
        span, planes, place = window(start, end), self._planes, 0
        self._full.clear()
        while span and units:
            borrow, at = span if units & 1 else 0, place
            while borrow and at < len(planes):
                planes[at], borrow = planes[at] ^ borrow, borrow & ~planes[at]
                at += 1
            units >>= 1
            place += 1

    def at_least(self, units: int, everything: int) -> int:
        """Return the steps of `everything` at which that many units or more are in use."""
        if units <= 0:
            return everything
        known = self._full.get(units)
        if known is not None:
            return known
        if units >> len(self._planes):
            return 0
        more, same = 0, everything
        for place in range(len(self._planes) - 1, -1, -1):
            plane = self._planes[place]
            if units >> place & 1:
                same &= plane
            else:
                more |= same & plane
                same &= ~plane
        known = self._full[units] = more | same
        return known
