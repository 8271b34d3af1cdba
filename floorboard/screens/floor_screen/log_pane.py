"""The last entries of the log, newest at the top, and what strike-last would strike."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.text import Text
from textual.widget import Widget

from floorboard.screens import looks
from floorboard.screens.countdown import clock_time
from floorboard.screens.fit import fit
from floorboard.usecases.entry_words import entry_words

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from zoneinfo import ZoneInfo

    from rich.console import RenderableType

    from floorboard.floor.casting import Casting
    from floorboard.floor.events import Entry
    from floorboard.shop.shop import Shop


class LogPane(Widget):
    """The log's last lines; struck entries stay readable, struck through."""

    DEFAULT_CSS = "LogPane { height: 1fr; padding: 0 1; color: $foreground; }"

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._lines: list[tuple[str, bool]] = []

    def show(
        self,
        entries: Sequence[Entry],
        shop: Shop,
        castings: Mapping[str, Casting],
        zone: ZoneInfo,
    ) -> None:
        """Show these entries, newest first."""
        lines = [
            (log_line(entry, shop, castings, zone), entry.struck_by is not None)
            for entry in entries
        ]
        if lines != self._lines:
            self._lines = lines
            self.refresh()

    def render(self) -> RenderableType:
        """Draw as many lines as there is room for."""
        quiet = looks.palette_of(self.app.theme).quiet
        width, height = self.content_size.width, self.content_size.height
        lines = [
            Text(fit(line, width), style=f"strike {quiet}" if struck else "")
            for line, struck in self._lines[:height]
        ]
        text = Text("\n").join(lines)
        text.no_wrap = True
        return text


def log_line(entry: Entry, shop: Shop, castings: Mapping[str, Casting], zone: ZoneInfo) -> str:
    """Return an entry as one line: time, person, what happened."""
    person = shop.people[entry.person].name if entry.person in shop.people else (entry.person or "")
    first_name = person.split(" ")[0]
    struck = "struck: " if entry.struck_by is not None else ""
    return (
        f"{clock_time(entry.at, zone)} {first_name}  {struck}{entry_words(entry, shop, castings)}"
    )
