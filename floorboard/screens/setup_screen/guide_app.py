"""The first-run guide as an app of its own: run before there is a shop for the board to show."""

from __future__ import annotations

from textual.app import App

from floorboard.screens.endings import install_endings
from floorboard.screens.looks import DARK, LIGHT
from floorboard.screens.setup_screen.first_run import FirstRun
from floorboard.screens.theme import theme_of
from floorboard.shop.shop import Shop


class GuideApp(App[Shop | None]):
    """Asks the questions and returns the shop made of the answers, or None."""

    TITLE = "floorboard"

    def __init__(self, zone: str, *, light: bool = False) -> None:
        super().__init__()
        self._zone = zone
        self._light = light

    def on_mount(self) -> None:
        """Ask at once."""
        palette = LIGHT if self._light else DARK
        self.register_theme(theme_of(palette))
        self.theme = palette.name
        install_endings(self)
        self.push_screen(FirstRun(self._zone), self.exit)
