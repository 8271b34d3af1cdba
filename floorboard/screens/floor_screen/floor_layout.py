"""How the floor screen is laid out, whoever fills it."""

from __future__ import annotations

from textual.screen import Screen

LEAST_PANEL_WIDTH = 38


class FloorLayout(Screen[None]):
    """A screen in the floor's places: top line, panels, board, foot, status, keys."""

    CSS_PATH = "floor.tcss"
    HORIZONTAL_BREAKPOINTS = [(0, "narrow"), (100, "wide")]
    VERTICAL_BREAKPOINTS = [
        (0, "small"),
        (24, "medium"),
        (40, "large"),
    ]

    def panels_there_is_room_for(self) -> int:
        """Return how many people's panels fit side by side."""
        return max(1, self.size.width // LEAST_PANEL_WIDTH)
