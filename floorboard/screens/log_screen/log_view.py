"""What the log screen lists: entries as lines, filtered by words, without any drawing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from floorboard.screens.floor_screen.log_pane import log_line

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from zoneinfo import ZoneInfo

    from floorboard.floor.casting import Casting
    from floorboard.floor.events import Entry
    from floorboard.shop.shop import Shop


@dataclass(frozen=True, slots=True)
class LogLine:
    """One entry: its number, its line with the date before it, and whether it is struck."""

    seq: int
    text: str
    struck: bool


def log_lines(
    entries: Iterable[Entry],
    shop: Shop,
    castings: Mapping[str, Casting],
    zone: ZoneInfo,
    wanted: str = "",
) -> list[LogLine]:
    """Return the entries whose line holds every wanted word, in the order given."""
    words = wanted.casefold().split()
    lines = []
    for entry in entries:
        day = f"{entry.at.astimezone(zone):%d %b}"
        where = f"  @{entry.station}" if entry.station else ""
        text = f"{day} {log_line(entry, shop, castings, zone)}{where}"
        if all(word in text.casefold() for word in words):
            lines.append(LogLine(entry.seq, text, entry.struck_by is not None))
    return lines
