"""Looks at the machine's clock once a second and remembers if it was set."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.floor.clock import Clock, SystemClock, steady_seconds
from floorboard.floor.clock_check import ClockCheck, ClockReading

if TYPE_CHECKING:
    from collections.abc import Callable

    from floorboard.floor.clock_check import ClockJump


class MachineWatch:
    """The machine's clock, held against seconds that run steadily."""

    def __init__(
        self, clock: Clock | None = None, steady: Callable[[], float] = steady_seconds
    ) -> None:
        self._clock = clock or SystemClock()
        self._steady = steady
        self._check = ClockCheck(self._reading())

    def look(self) -> ClockJump | None:
        """Take a reading; return the jump there has been, if any, until it is heard."""
        self._check = self._check.after(self._reading())
        return self._check.jumped

    def hear(self) -> bool:
        """Take the warning as heard; return whether there was one."""
        jumped = self._check.jumped is not None
        self._check = self._check.forgiven()
        return jumped

    def _reading(self) -> ClockReading:
        return ClockReading(self._clock.now(), self._steady())
