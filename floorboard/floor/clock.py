"""Where `now` comes from. The core never asks; it is told."""

from __future__ import annotations

import datetime as dt
import time
from typing import Protocol

UTC = dt.UTC


class Clock(Protocol):
    """Something that tells the time."""

    def now(self) -> dt.datetime:
        """Return this moment, aware, in UTC."""
        ...


def steady_seconds() -> float:
    """Return seconds that only ever run forward, at the pace of real time.

    They start anywhere. Where the system can, they run on while the machine sleeps, so that a lid
    closed over lunch is not taken for a clock that was set.
    """
    boot_clock = getattr(time, "CLOCK_BOOTTIME", None)
    return time.monotonic() if boot_clock is None else time.clock_gettime(boot_clock)


class SystemClock:
    """The machine's clock."""

    def now(self) -> dt.datetime:
        """Return the machine's time in UTC."""
        return dt.datetime.now(UTC)


class FixedClock:
    """A clock that stands still until it is moved; for tests and replays."""

    def __init__(self, at: dt.datetime) -> None:
        self.at = at

    def now(self) -> dt.datetime:
        """Return the moment it was set to."""
        return self.at

    def forward(self, seconds: float) -> None:
        """Move the clock forward."""
        self.at += dt.timedelta(seconds=seconds)


class FastClock:
    """A clock set to a chosen moment that runs a chosen number of times faster than real time."""

    def __init__(self, start: dt.datetime, speed: float) -> None:
        self._start = start
        self._speed = speed
        self._began = time.monotonic()

    def now(self) -> dt.datetime:
        """Return the chosen moment plus the time gone by since, times the speed."""
        return self._start + dt.timedelta(seconds=(time.monotonic() - self._began) * self._speed)
