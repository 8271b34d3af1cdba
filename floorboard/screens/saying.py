"""Saying something on whatever screen is shown."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from textual.screen import Screen


def say(screen: Screen[Any], message: str) -> None:
    """Say something on a screen, in its own place if it has one."""
    own = getattr(screen, "say", None)
    if own is not None:
        own(message)
    else:
        screen.notify(message, severity="warning", timeout=5, markup=False)


def say_too(screen: Screen[Any], message: str) -> None:
    """Say something after what a screen says already."""
    said = getattr(screen, "last_said", "")
    if message not in said:
        say(screen, f"{said} {message}".strip())
