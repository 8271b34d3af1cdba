"""A part of the ticket, drawn by one widget from lines made to its size."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from rich.text import Text
from textual.message import Message
from textual.widget import Widget

from floorboard.screens import looks

if TYPE_CHECKING:
    from collections.abc import Callable

    from rich.console import RenderableType
    from textual import events

    from floorboard.screens.looks import Palette


class Drawn(Widget):
    """Lines that a function makes for so many cells; drawn again only when what they show changed."""

    @dataclass
    class Tapped(Message):
        """A line was tapped, counted from 0."""

        part: str
        line: int

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self._shows: object = None
        self._draw: Callable[[int, int, Palette], list[Text]] | None = None

    def show(self, shows: object, draw: Callable[[int, int, Palette], list[Text]]) -> None:
        """Show something: `shows` says what, and is compared; `draw` makes its lines."""
        if shows != self._shows:
            self._shows, self._draw = shows, draw
            self.refresh()

    def render(self) -> RenderableType:
        """Draw the lines there is room for."""
        width, height = self.content_size.width, self.content_size.height
        if self._draw is None or width < 8 or height < 1:
            return Text("")
        lines = self._draw(width, height, looks.palette_of(self.app.theme))
        return Text("\n", no_wrap=True, overflow="crop", end="").join(lines[:height])

    def on_click(self, event: events.Click) -> None:
        """Say which line was tapped."""
        offset = event.get_content_offset(self)
        if offset is not None:
            self.post_message(self.Tapped(self.id or "", offset.y))
