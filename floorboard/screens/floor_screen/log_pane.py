"""The last entries of the log, newest at the top, and what strike-last would strike."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from rich.text import Text
from textual.widget import Widget

from floorboard.floor.events import EntryStruck
from floorboard.screens import looks
from floorboard.screens.countdown import clock_time
from floorboard.screens.fit import fit
from floorboard.usecases.entry_words import entry_words, event_words

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from zoneinfo import ZoneInfo

    from rich.console import RenderableType

    from floorboard.floor.casting import Casting
    from floorboard.floor.events import Entry
    from floorboard.shop.shop import Shop


@dataclass(frozen=True, slots=True)
class PaneLine:
    """A line of the pane; from `struck_from` on, if that is not None, it tells what was struck."""

    text: str
    struck_from: int | None = None


class LogPane(Widget):
    """The log's last lines; a strike and what it struck are one of them, struck through."""

    DEFAULT_CSS = "LogPane { height: 1fr; padding: 0 1; color: $foreground; }"

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._lines: list[PaneLine] = []

    def show(
        self,
        entries: Sequence[Entry],
        shop: Shop,
        castings: Mapping[str, Casting],
        zone: ZoneInfo,
        entry_of: Callable[[int], Entry | None],
    ) -> None:
        """Show these entries, newest first; `entry_of` finds an older one by its number."""
        lines = pane_lines(entries, shop, castings, zone, entry_of)
        if lines != self._lines:
            self._lines = lines
            self.refresh()

    def render(self) -> RenderableType:
        """Draw as many lines as there is room for."""
        quiet = looks.palette_of(self.app.theme).quiet
        width, height = self.content_size.width, self.content_size.height
        lines = []
        for line in self._lines[:height]:
            drawn = Text(fit(line.text, width), style="" if line.struck_from is None else quiet)
            if line.struck_from is not None:
                drawn.stylize("strike", line.struck_from, len(drawn.plain.rstrip()))
            lines.append(drawn)
        text = Text("\n").join(lines)
        text.no_wrap = True
        return text


def log_line(entry: Entry, shop: Shop, castings: Mapping[str, Casting], zone: ZoneInfo) -> str:
    """Return an entry as one line: time, person, what happened."""
    struck = "struck: " if entry.struck_by is not None else ""
    return f"{_when_and_who(entry, shop, zone)}{struck}{entry_words(entry, shop, castings)}"


def pane_lines(
    entries: Sequence[Entry],
    shop: Shop,
    castings: Mapping[str, Casting],
    zone: ZoneInfo,
    entry_of: Callable[[int], Entry | None],
) -> list[PaneLine]:
    """Return the lines of entries, given newest first; a struck one is told by its strike alone."""
    known = {entry.seq: entry for entry in entries}
    lines = []
    for entry in entries:
        if entry.struck_by is not None:
            continue
        event, struck = entry.event, None
        if isinstance(event, EntryStruck):
            struck = known.get(event.struck) or entry_of(event.struck)
        if struck is None:
            lines.append(PaneLine(log_line(entry, shop, castings, zone)))
            continue
        before = f"{_when_and_who(entry, shop, zone)}struck: "
        words = event_words(struck.event, shop, castings)
        lines.append(PaneLine(f"{before}{words}", len(before)))
    return lines


def _when_and_who(entry: Entry, shop: Shop, zone: ZoneInfo) -> str:
    person = shop.people[entry.person].name if entry.person in shop.people else (entry.person or "")
    return f"{clock_time(entry.at, zone)} {person.split(' ')[0]}  "
