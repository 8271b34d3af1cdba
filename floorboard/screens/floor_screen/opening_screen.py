"""The floor as first seen, while the board itself is still being loaded. It takes no keys."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.containers import Horizontal
from textual.widgets import Static

from floorboard.screens.floor_screen.board import Board
from floorboard.screens.floor_screen.floor_layout import FloorLayout
from floorboard.screens.floor_screen.next_panel import DRAWING_UP, NextPanel
from floorboard.screens.floor_screen.person_panel import PersonPanel
from floorboard.screens.floor_screen.top_line import TopLine, TopLineView
from floorboard.screens.key_bar import KeyBar, floor_items

if TYPE_CHECKING:
    from textual.app import ComposeResult
    from textual.strip import Strip

    from floorboard.screens.first_look import FirstLook


class FirstBoard(Board):
    """A board that remembers whether it was ever drawn."""

    drawn = False

    def render_line(self, y: int) -> Strip:
        """Draw one line of the board."""
        self.drawn = True
        return super().render_line(y)


class OpeningScreen(FloorLayout):
    """Every mold with its countdown, in the places the floor screen has for them."""

    _board: FirstBoard

    def __init__(self, look: FirstLook, *, ascii_only: bool, tall_keys: bool) -> None:
        super().__init__()
        self._look = look
        self._ascii_only = ascii_only
        self._tall_keys = tall_keys
        self._top = TopLine(id="top")
        self._panels = [PersonPanel(who, ascii_only=ascii_only) for who, _ in look.people]
        self._board = FirstBoard(id="board", ascii_only=ascii_only)

    def compose(self) -> ComposeResult:
        """Lay out what can be seen already."""
        yield self._top
        with Horizontal(id="panels"):
            yield from self._panels
        yield self._board
        yield Static("", id="foot")
        yield Static("", id="status")
        yield KeyBar(floor_items(), tall=self._tall_keys)

    @property
    def drawn(self) -> bool:
        """Whether the molds have been drawn."""
        return self._board.drawn

    def on_mount(self) -> None:
        """Fill what is there before it is first drawn."""
        self._fill()

    def on_resize(self) -> None:
        """Show as much as there is room for."""
        self._fill()

    def _fill(self) -> None:
        look = self._look
        self._top.show(TopLineView(look.shop, look.clock))
        most = self.panels_there_is_room_for()
        for place, (panel, (who, name)) in enumerate(zip(self._panels, look.people, strict=True)):
            panel.display = place < most
            panel.show(NextPanel(who, name, DRAWING_UP, "", None), active=place == 0)
        self.share_out(len(look.rows), 0, tall_keys=self._tall_keys)
        self._board.show(list(look.rows), None)
