"""Whether the machine's clock can be believed: it must run at the pace of real time.

Every countdown is worked out from logged moments, so a clock that is set while work is in the molds
makes them all wrong at once. Pure: readings of two clocks are handed in.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import datetime as dt

# Time servers pull a clock by less than 0.5 ms a second (RFC 5905, 500 parts in a million), so two
# seconds between two looks are a clock that was set.
JUMP_SECONDS = 2.0
# Two machines whose clocks are kept right differ by less.
AHEAD_SECONDS = 5.0


@dataclass(frozen=True, slots=True)
class ClockReading:
    """The machine's clock and, at the same moment, seconds that run steadily from anywhere."""

    wall: dt.datetime
    steady_seconds: float


@dataclass(frozen=True, slots=True)
class ClockJump:
    """The machine's clock was set: by how many seconds (negative: back), and what it shows since."""

    seconds: float
    at: dt.datetime


def jump_between(before: ClockReading, after: ClockReading) -> ClockJump | None:
    """Return the jump of the machine's clock between two readings, if there was one."""
    shown = (after.wall - before.wall).total_seconds()
    seconds = shown - (after.steady_seconds - before.steady_seconds)
    return ClockJump(seconds, after.wall) if abs(seconds) > JUMP_SECONDS else None


@dataclass(frozen=True, slots=True)
class ClockCheck:
    """The last reading, and what all jumps since the start come to."""

    last: ClockReading
    jumped: ClockJump | None = None

    def after(self, reading: ClockReading) -> ClockCheck:
        """Return the check with one more reading taken in.

        Jumps add up: a clock that is set wrong and then set right again has not jumped at all.
        """
        jump = jump_between(self.last, reading)
        if jump is None:
            return ClockCheck(reading, self.jumped)
        total = jump.seconds + (self.jumped.seconds if self.jumped else 0.0)
        kept = ClockJump(total, jump.at) if abs(total) > JUMP_SECONDS else None
        return ClockCheck(reading, kept)

    def forgiven(self) -> ClockCheck:
        """Return the check with its jump acknowledged."""
        return ClockCheck(self.last)


def ahead_of_clock(last_at: dt.datetime | None, now: dt.datetime) -> float:
    """Return by how many seconds the latest entry lies in the future; 0 if it does not.

    Parameters
    ----------
    last_at
        When the latest entry of the log happened, None in an empty log.
    """
    if last_at is None:
        return 0.0
    seconds = (last_at - now).total_seconds()
    return seconds if seconds > AHEAD_SECONDS else 0.0
