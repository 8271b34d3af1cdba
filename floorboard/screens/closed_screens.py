"""What the libraries keep of screens that were closed, and how to let go of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual._styles_cache import StylesCache
from textual.app import App

if TYPE_CHECKING:
    from textual.await_complete import AwaitComplete


class ClosedScreens(App[None]):
    """The part of the app that lets go of screens that were closed."""

    def pop_screen(self) -> AwaitComplete:
        """Close the screen on top, and all that was drawn of it."""
        closing = super().pop_screen()
        # Textual 8.2.8 remembers two colours for each of the last 1024 widgets drawn, and with the
        # colours every line of those widgets: tens of megabytes of what nobody sees any more.
        StylesCache.get_inner_outer.cache_clear()
        return closing
