"""A sheet of lines drawn by one widget: it scrolls, and may have a cursor that goes from row to row."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from rich.segment import Segment
from rich.style import Style
from textual.binding import Binding, BindingType
from textual.geometry import Region, Size
from textual.message import Message
from textual.scroll_view import ScrollView
from textual.strip import Strip

from floorboard.screens import looks
from floorboard.screens.lines import Line, fit_line

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual import events

    from floorboard.screens.lines import Span
    from floorboard.screens.looks import Palette


class Sheet(ScrollView, can_focus=True):
    """Lines of text; those that name a row can be chosen by arrows or by touch."""

    DEFAULT_CSS = """
    Sheet {
        background: $background; color: $foreground;
        overflow-x: hidden; scrollbar-size-vertical: 1;
    }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "step(-1)", "Up", show=False),
        Binding("down", "step(1)", "Down", show=False),
    ]

    @dataclass
    class Tapped(Message):
        """A row was tapped."""

        row: str

    @dataclass
    class CursorMoved(Message):
        """The cursor is on another row."""

        row: str

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._lines: Sequence[Line] = ()
        self.cursor = ""

    @property
    def lines(self) -> Sequence[Line]:
        """The lines as last shown."""
        return self._lines

    @property
    def width(self) -> int:
        """How many cells a line has; one is kept for the scroll bar, whether or not it shows."""
        return max(1, self.size.width - 1)

    def show(self, lines: Sequence[Line]) -> None:
        """Show these lines; the cursor stays on its row, or goes to the nearest there is."""
        before = [found.row for found in self._lines if found.row]
        self._lines = lines
        rows = self.rows
        if rows and self.cursor not in rows:
            place = before.index(self.cursor) if self.cursor in before else 0
            self.cursor = rows[min(place, len(rows) - 1)]
        elif not rows:
            self.cursor = ""
        self.virtual_size = Size(self.scrollable_content_region.width, len(lines))
        self.refresh()

    @property
    def rows(self) -> list[str]:
        """The rows there are, each once, in order."""
        return list(dict.fromkeys(found.row for found in self._lines if found.row))

    def action_step(self, step: int) -> None:
        """Go to the row above or below; without rows, scroll by a line."""
        rows = self.rows
        if not rows:
            self.scroll_relative(y=step, animate=False)
            return
        place = rows.index(self.cursor) + step if self.cursor in rows else 0
        self.go_to(rows[max(0, min(place, len(rows) - 1))])

    def go_to(self, row: str) -> None:
        """Put the cursor on a row and scroll it into view."""
        if row not in self.rows:
            return
        self.cursor = row
        places = [y for y, found in enumerate(self._lines) if found.row == row]
        self.scroll_to_region(Region(0, places[0], 1, len(places)), animate=False)
        self.refresh()
        self.post_message(self.CursorMoved(row))

    def on_click(self, event: events.Click) -> None:
        """Say which row was tapped."""
        y = event.y + self.scroll_offset.y
        if 0 <= y < len(self._lines) and self._lines[y].row:
            self.post_message(self.Tapped(self._lines[y].row))

    def render_line(self, y: int) -> Strip:
        """Draw one line."""
        width = self.scrollable_content_region.width
        at = y + self.scroll_offset.y
        if at >= len(self._lines):
            return Strip.blank(width, self.rich_style)
        found = self._lines[at]
        palette = looks.palette_of(self.app.theme)
        ground = self.rich_style
        if found.row and found.row == self.cursor:
            ground = ground + palette.chosen_style()
        segments = [
            Segment(span.text, ground + span_style(span, palette))
            for span in fit_line(found, width).spans
        ]
        return Strip(segments).adjust_cell_length(width, ground)


def span_style(span: Span, palette: Palette) -> Style:
    """Return how a part of a line is drawn."""
    match span.role:
        case "bold":
            return Style(bold=True)
        case "quiet":
            return palette.quiet_style()
        case "key":
            return palette.key_style()
        case "tone":
            return palette.tone(span.state)
        case "badge":
            return palette.badge(span.state)
        case _:
            return Style()
