"""A very small board for the server's tests: it says where it stands and what was pressed."""

from __future__ import annotations

import io
import sys
from typing import ClassVar

from textual.app import App, ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.events import Resize
from textual.geometry import Size
from textual.widgets import Button, Footer, Static

from floorboard.screens.endings import install_endings
from floorboard.screens.place import opening_view, remember_view, station_name


class DummyBoard(App[None]):
    """Shows station, view and a count; rings, changes view, and leaves."""

    CSS = "Button { width: 100%; } VerticalScroll { height: 10; } #said { height: 4; }"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("plus", "count", "Count"),
        Binding("v", "tally", "Tally"),
        Binding("b", "ring", "Ring"),
        Binding("d", "deliver", "Save"),
        Binding("q", "quit", "Leave"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self.view = opening_view({"floor", "tally"}) or "floor"
        self.count = 0
        self.shown = Size(0, 0)

    def compose(self) -> ComposeResult:
        yield Static(id="said")
        yield Button("COUNT ONE", id="one")
        with VerticalScroll(can_focus=False):
            yield Static("\n".join(f"row-{row:03}" for row in range(100)))
        yield Footer()

    def on_mount(self) -> None:
        install_endings(self)
        self.say()

    def say(self) -> None:
        self.query_one("#said", Static).update(
            f"STATION={station_name()}=\nVIEW={self.view}=\nCOUNT={self.count}=\n"
            f"SIZE={self.shown.width}x{self.shown.height}="
        )

    def on_resize(self, event: Resize) -> None:
        # The app itself takes the new size only after this handler.
        self.shown = event.size
        self.say()

    def on_button_pressed(self) -> None:
        self.action_count()

    def action_count(self) -> None:
        self.count += 1
        self.say()

    def action_tally(self) -> None:
        self.view = "tally"
        remember_view(self.view)
        self.say()

    def action_deliver(self) -> None:
        self.deliver_text(io.StringIO("serial,piece\n"), save_filename='tally;"1".csv')

    def action_ring(self) -> None:
        self.bell()
        self.bell()


if __name__ == "__main__":
    app = DummyBoard()
    app.run()
    sys.exit(app.return_code or 0)
