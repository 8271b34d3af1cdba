"""Lines of text over the screen, to read and leave."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.widgets import Static

from floorboard.screens.dialogs import Dialog

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult


class ShowLines(Dialog[None]):
    """A title and lines under it; arrows scroll, Esc or Enter leaves."""

    DEFAULT_CSS = """
    ShowLines > Vertical { width: 88; }
    ShowLines VerticalScroll { height: auto; max-height: 16; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,enter,full_stop", "leave", "Leave", key_display="Esc"),
    ]

    def __init__(self, title: str, lines: Sequence[str]) -> None:
        super().__init__(classes="dialog")
        self._title = title
        self._lines = list(lines)

    def compose(self) -> ComposeResult:
        """Lay out the title and the lines."""
        with Vertical():
            yield Static(Content(self._title), classes="question")
            with VerticalScroll():
                yield Static(Content("\n".join(self._lines)))
            yield Static(Content("Arrows scroll, Esc leaves."))

    def on_mount(self) -> None:
        """Let arrows reach the lines."""
        self.query_one(VerticalScroll).focus()

    def on_click(self) -> None:
        """A tap leaves."""
        self.dismiss()

    def action_leave(self) -> None:
        """Leave."""
        self.dismiss()
