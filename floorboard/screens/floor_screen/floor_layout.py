"""How the floor screen is laid out, whoever fills it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from textual.screen import Screen

from floorboard.screens.floor_screen.heights import Heights, heights
from floorboard.screens.key_bar import TALL

if TYPE_CHECKING:
    from floorboard.screens.floor_screen.board import Board

LEAST_PANEL_WIDTH = 38
# From so many cells and lines on, the log stands beside the molds and the hands beneath them.
WALL_SIZE = (180, 50)
# What the hands chart on a wall screen has at the least.
LEAST_HANDS = 14
# Lines of panels and log from a height of the screen on, where every mold has room besides.
WANTED = ((40, Heights(12, 8)), (24, Heights(9, 4)), (0, Heights(7, 2, least_log=1)))


class FloorLayout(Screen[None]):
    """A screen in the floor's places: top line, panels, board, foot, status, keys."""

    HORIZONTAL_BREAKPOINTS = [(0, "narrow"), (100, "wide")]
    VERTICAL_BREAKPOINTS = [
        (0, "small"),
        (24, "medium"),
        (40, "large"),
    ]

    def panels_there_is_room_for(self) -> int:
        """Return how many people's panels fit side by side."""
        return max(1, self.size.width // LEAST_PANEL_WIDTH)

    def share_out(self, molds: int, panel_lines: int, *, tall_keys: bool) -> bool:
        """Give panels, molds and log the lines they have at this size; return whether it is a wall.

        `panel_lines` is how many lines the fullest panel has something to show in.
        """
        width, height = self.size
        wall = width >= WALL_SIZE[0] and height >= WALL_SIZE[1]
        room = height - 2 - (TALL if tall_keys else 1)
        wanted = next(shared for least, shared in WANTED if height >= least)
        shared = heights(room, molds, replace(wanted, log=0) if wall else wanted, panel_lines)
        lines = max(1 + LEAST_HANDS, min(1 + 2 * molds, room - shared.panels - LEAST_HANDS))
        if (shared, wall, lines) != self._shared:
            self._shared = shared, wall, lines
            self.set_class(wall, "wall")
            self.query_one("#panels").styles.height = shared.panels
            foot = self.query_one("#foot")
            foot.styles.height = shared.log
            foot.display = shared.log > 0 and not wall
            # Nested deeper than the others, it may not be on the screen yet.
            self._board.styles.height = lines if wall else "1fr"
        return wall

    _board: Board
    _shared: tuple[Heights, bool, int] | None = None
