"""The grid of the solvers: the only place where moments become whole steps and back.

Steps count from an origin that lies on a whole number of steps since the epoch, so two grids of
the same step agree on where steps begin. Rounding is always to the safe side: work and least
waits up, windows and greatest waits down; then what keeps the rules on the grid keeps them in
exact seconds.
"""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

EPOCH = dt.datetime(1970, 1, 1, tzinfo=dt.UTC)
FINE_SECONDS = 15
COARSE_SECONDS = 30

# Seconds that the arithmetic of a factor may leave over without costing a step.
_BLUR = 1e-6


@dataclass(frozen=True, slots=True)
class TimeGrid:
    """Steps of `step_seconds` from `origin` (aware UTC, on a whole step)."""

    origin: dt.datetime
    step_seconds: int

    @classmethod
    def from_moment(cls, earliest: dt.datetime, step_seconds: int) -> TimeGrid:
        """Return the grid whose step 0 is the last whole step at or before a moment."""
        steps = math.floor((earliest - EPOCH).total_seconds() / step_seconds)
        return cls(EPOCH + dt.timedelta(seconds=steps * step_seconds), step_seconds)

    def seconds(self, moment: dt.datetime) -> float:
        """Return a moment in seconds after the origin."""
        return (moment - self.origin).total_seconds()

    def at_or_after(self, moment: dt.datetime) -> int:
        """Return the first step at or after a moment."""
        return self.up(self.seconds(moment))

    def at_or_before(self, moment: dt.datetime) -> int:
        """Return the last step at or before a moment."""
        return self.down(self.seconds(moment))

    def at_second(self, seconds: float) -> dt.datetime:
        """Return the moment, aware UTC, so many seconds after the origin."""
        return self.origin + dt.timedelta(seconds=seconds)

    def up(self, seconds: float) -> int:
        """Return a length, or a moment after the origin, in steps: not shorter, not earlier."""
        return math.ceil((seconds - _BLUR) / self.step_seconds)

    def hands_on(self, seconds: float) -> int:
        """Return the steps that work of so many seconds binds hands for: at least one."""
        return max(1, self.up(seconds))

    def down(self, seconds: float) -> int:
        """Return a length, or a moment after the origin, in steps: not longer, not later."""
        return math.floor((seconds + _BLUR) / self.step_seconds)

    def moment(self, step: int) -> dt.datetime:
        """Return the moment, aware UTC, at which a step begins."""
        return self.origin + dt.timedelta(seconds=step * self.step_seconds)


def fitting_step(lengths_seconds: Iterable[float]) -> int:
    """Return the coarsest step that all hands-on lengths are whole numbers of, or the finest."""
    whole = all(
        abs(length / COARSE_SECONDS - round(length / COARSE_SECONDS)) < 1e-9
        for length in lengths_seconds
    )
    return COARSE_SECONDS if whole else FINE_SECONDS
