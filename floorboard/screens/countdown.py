"""Lengths of time and moments as the screens show them."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import datetime as dt
    from zoneinfo import ZoneInfo


def countdown(seconds: float) -> str:
    """Return a countdown: "12:34" below an hour, "1h05" below a day, then "2d 4h".

    Counting down rounds up, so that 0:00 shows only when the moment has come. Time past is shown
    with a plus: "+3:10".
    """
    past = seconds < 0
    whole = math.floor(-seconds) if past else math.ceil(seconds)
    sign = "+" if past and whole else ""
    if whole < 3600:
        return f"{sign}{whole // 60}:{whole % 60:02d}"
    minutes = whole // 60
    if minutes < 24 * 60:
        return f"{sign}{minutes // 60}h{minutes % 60:02d}"
    hours = minutes // 60
    return f"{sign}{hours // 24}d {hours % 24}h"


def length_text(seconds: float) -> str:
    """Return a length beside clock times, never to be read as one: "21 min", else as a countdown.

    Below a minute it is "45 s". Minutes are whole ones, so that a window never seems longer.
    """
    past = seconds < 0
    whole = math.floor(-seconds) if past else math.ceil(seconds)
    sign = "+" if past and whole else ""
    if whole < 60:
        return f"{sign}{whole} s"
    if whole < 3600:
        return f"{sign}{whole // 60} min"
    return countdown(seconds)


def clock_line(moment: dt.datetime, zone: ZoneInfo) -> str:
    """Return day, time and zone as the top of a screen shows them."""
    return f"{moment.astimezone(zone):%a %d %b %H:%M:%S %Z}"


def clock_time(moment: dt.datetime, zone: ZoneInfo) -> str:
    """Return a moment as hours and minutes in the shop's zone."""
    return f"{moment.astimezone(zone):%H:%M}"


def clock_seconds(moment: dt.datetime, zone: ZoneInfo) -> str:
    """Return a moment as hours, minutes and seconds in the shop's zone."""
    return f"{moment.astimezone(zone):%H:%M:%S}"
