"""Draws a served board whole again when its page came back.

The browser server keeps a board running while its page is reloaded or its connection lost, and
lets go what the board draws meanwhile. The new page knows nothing of the old picture, and the
driver's messages know no word for it, so the server sends the signal of a changed window. To a
process that does not listen it means nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from floorboard.screens.signals import on_signal

if TYPE_CHECKING:
    from textual.app import App


def install_repaint(app: App[Any]) -> None:
    """Make a served app draw its whole screen on SIGWINCH; does nothing in a terminal."""
    if not app.is_web:
        return

    def draw_all() -> None:
        app.screen.refresh()

    on_signal("SIGWINCH", lambda: app.call_later(draw_all))
