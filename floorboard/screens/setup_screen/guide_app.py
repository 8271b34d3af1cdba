"""The first-run guide as an app of its own: run before there is a shop for the board to show."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from textual.app import App

from floorboard.screens.console_font import ConsoleFont
from floorboard.screens.endings import install_endings
from floorboard.screens.setup_screen.first_run import FirstRun
from floorboard.screens.theme import (
    first_palette,
    own_colours,
    palettes_shown,
    theme_of,
    wants_ascii,
)
from floorboard.shop.shop import Shop

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.filter import LineFilter


class GuideApp(App[Shop | None]):
    """Asks the questions and returns the shop made of the answers, or None."""

    TITLE = "floorboard"

    def __init__(self, zone: str, *, light: bool = False) -> None:
        super().__init__(ansi_color=own_colours())
        # The framework puts something else in the place of the output while it runs.
        if wants_ascii(encoding=sys.stdout.encoding or "ascii"):
            self._console = ConsoleFont()
        self._zone = zone
        palette = first_palette(palettes_shown(self), light=light)
        self.register_theme(theme_of(palette))
        self.theme = palette.name

    def get_line_filters(self) -> Sequence[LineFilter]:
        """Draw for a plain console, if the terminal is one."""
        filters = super().get_line_filters()
        return [*filters, self._console] if self._console is not None else filters

    _console: LineFilter | None = None

    def on_mount(self) -> None:
        """Ask at once."""
        install_endings(self)
        self.push_screen(FirstRun(self._zone), self.exit)
