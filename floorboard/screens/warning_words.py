"""What the top line warns of: a clock that jumped, entries from the future, a plan that failed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.floor.clock_check import ahead_of_clock
from floorboard.screens.countdown import clock_time

if TYPE_CHECKING:
    import datetime as dt
    from zoneinfo import ZoneInfo

    from floorboard.floor.clock_check import ClockJump


def jump_words(jump: ClockJump, zone: ZoneInfo) -> str:
    """Return a jump of the machine's clock as a sentence."""
    way = "forward" if jump.seconds > 0 else "back"
    return (
        f"This machine's clock was set {way} by {length_words(abs(jump.seconds))} at "
        f"{clock_time(jump.at, zone)}: countdowns moved with it. Space: heard"
    )


def ahead_words(last_at: dt.datetime | None, now: dt.datetime) -> str:
    """Return a sentence if the log's latest entry lies in the future, else nothing."""
    seconds = ahead_of_clock(last_at, now)
    if not seconds:
        return ""
    return (
        f"The last entry is {length_words(seconds)} ahead of this machine's clock: set one right."
    )


def length_words(seconds: float) -> str:
    """Return a length of time in words, with the two largest units that matter."""
    whole = round(seconds)
    if whole < 120:
        return f"{whole} s"
    minutes, left = divmod(whole, 60)
    if minutes < 120:
        return f"{minutes} min {left} s" if left and minutes < 10 else f"{minutes} min"
    hours, minutes = divmod(minutes, 60)
    if hours < 48:
        return f"{hours} h {minutes} min" if minutes else f"{hours} h"
    return f"{hours // 24} days"
