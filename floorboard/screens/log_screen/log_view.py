"""What the log screen shows: entries as lines, filtered by words, and one entry whole. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from floorboard.floor import events as e
from floorboard.screens.floor_screen.log_pane import log_line
from floorboard.screens.lines import Line, Span
from floorboard.usecases.entry_words import entry_words
from floorboard.usecases.log_search import searcher

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterable, Mapping, Sequence
    from zoneinfo import ZoneInfo

    from floorboard.floor.casting import Casting
    from floorboard.shop.shop import Shop

# Logged so much later than it happened is worth saying.
LATE_SECONDS = 60.0


@dataclass(frozen=True, slots=True)
class LogLine:
    """One entry: its number, its line with the date before it, and whether it is struck."""

    seq: int
    text: str
    struck: bool


def log_lines(
    entries: Iterable[e.Entry],
    shop: Shop,
    castings: Mapping[str, Casting],
    zone: ZoneInfo,
    wanted: str = "",
) -> list[LogLine]:
    """Return the entries whose line holds every wanted word, in the order given."""
    holds = searcher(wanted)
    lines = []
    for entry in entries:
        day = f"{entry.at.astimezone(zone):%d %b}"
        where = f"  @{entry.station}" if entry.station else ""
        text = f"{day} {log_line(entry, shop, castings, zone)}{where}"
        if holds(text):
            lines.append(LogLine(entry.seq, text, entry.struck_by is not None))
    return lines


def sheet_lines(lines: Sequence[LogLine]) -> list[Line]:
    """Return the lines to draw; what is struck says so in a word and stands back."""
    return [
        Line((Span(line.text, "quiet" if line.struck else "plain"),), str(line.seq))
        for line in lines
    ]


def whole_entry(
    entry: e.Entry, shop: Shop, castings: Mapping[str, Casting], zone: ZoneInfo
) -> tuple[str, ...]:
    """Return all there is to say of an entry, in sentences."""
    who = shop.people[entry.person].name if entry.person in shop.people else entry.person
    at = f"{entry.at.astimezone(zone):%a %d %b %Y %H:%M:%S}"
    by = f", {who}" if who else ""
    where = f", at {entry.station}" if entry.station else ""
    said = [f"{entry.seq}: {entry_words(entry, shop, castings)}.", f"{at}{by}{where}."]
    late = (entry.logged_at - entry.at).total_seconds()
    if abs(late) >= LATE_SECONDS:
        said.append(f"Logged at {entry.logged_at.astimezone(zone):%a %d %b %H:%M:%S}.")
    note = getattr(entry.event, "note", "") or getattr(entry.event, "reason", "")
    if note and note not in said[0]:
        said.append(f"{note}.")
    if entry.struck_by is not None:
        said.append(f"Struck by entry {entry.struck_by}; it counts for nothing.")
    return tuple(said)


def cannot_be_struck(entry: e.Entry) -> str | None:
    """Return why an entry is not to be struck, if it is not."""
    if entry.struck_by is not None:
        return f"Entry {entry.seq} is struck already, by entry {entry.struck_by}."
    if isinstance(entry.event, e.EntryStruck):
        return "A strike cannot be struck. Log what really happened again instead."
    if isinstance(entry.event, e.ShopLoaded):
        return "A shop loaded cannot be struck. Load the shop as it was instead."
    return None


def day_of(moment: dt.datetime, zone: ZoneInfo) -> str:
    """Return a day as the screen names it."""
    return f"{moment.astimezone(zone):%a %d %b}"
