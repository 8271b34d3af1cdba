"""The first-run guide as an app of its own: run before there is a shop for the board to show."""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING

from textual.app import App

from floorboard.screens.console_font import ConsoleFont
from floorboard.screens.endings import install_endings
from floorboard.screens.setup_screen.first_run import FirstRun
from floorboard.screens.theme import palettes_for, theme_of, wants_ascii
from floorboard.shop.shop import Shop

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.filter import LineFilter


class GuideApp(App[Shop | None]):
    """Asks the questions and returns the shop made of the answers, or None."""

    TITLE = "floorboard"

    def __init__(self, zone: str, *, light: bool = False) -> None:
        # Without this the framework turns every colour to a grey under NO_COLOR.
        super().__init__(ansi_color=True if "NO_COLOR" in os.environ else None)
        # The framework puts something else in the place of the output while it runs.
        if wants_ascii(encoding=sys.stdout.encoding or "ascii"):
            self._console = ConsoleFont()
        self._zone = zone
        self._light = light

    def get_line_filters(self) -> Sequence[LineFilter]:
        """Draw for a plain console, if the terminal is one."""
        filters = super().get_line_filters()
        return [*filters, self._console] if self._console is not None else filters

    _console: LineFilter | None = None

    def on_mount(self) -> None:
        """Ask at once."""
        # A picture or a test has no terminal that could lack colours.
        colors = "truecolor" if self.is_headless else self.console.color_system
        palettes = palettes_for(colors, self.no_color)
        lights = [palette for palette in palettes if not palette.dark]
        palette = lights[0] if self._light and lights else palettes[0]
        self.register_theme(theme_of(palette))
        self.theme = palette.name
        install_endings(self)
        self.push_screen(FirstRun(self._zone), self.exit)
