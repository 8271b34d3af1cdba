"""The board's themes, made from the palettes, and the choice between them."""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING, Any

from textual.theme import Theme

from floorboard.screens import looks

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from textual.app import App

    from floorboard.screens.looks import Palette

# Terminals whose fonts cannot be relied on to have more than ASCII.
ASCII_TERMINALS = frozenset({"linux", "dumb", "vt100", "vt102", "vt220"})


def theme_of(palette: Palette) -> Theme:
    """Return the theme that gives the framework's own widgets a palette's colours."""
    tones = palette.tones
    return Theme(
        name=palette.name,
        primary=palette.accent,
        secondary=tones["curing"],
        accent=tones["due"],
        warning=tones["closing"],
        error=tones["window lost"],
        success=tones["in hand"],
        foreground=palette.ink,
        background=palette.ground,
        surface=palette.ground,
        panel=palette.panel,
        boost=palette.panel,
        dark=palette.dark,
        variables={
            "text": palette.ink,
            "text-muted": palette.quiet,
            "text-disabled": palette.quiet,
            "foreground-muted": palette.quiet,
            "foreground-disabled": palette.quiet,
            "border": palette.accent,
            "border-blurred": palette.quiet,
            "block-cursor-foreground": palette.badge_ink,
            "block-cursor-background": palette.accent,
            "block-cursor-blurred-foreground": palette.ink,
            "block-cursor-blurred-background": palette.chosen,
            "block-hover-background": palette.chosen,
            "input-cursor-background": palette.ink,
            "input-cursor-foreground": palette.ground,
            "input-selection-background": palette.chosen,
            "scrollbar": palette.quiet,
            "scrollbar-hover": palette.accent,
            "scrollbar-active": palette.accent,
            "scrollbar-background": palette.panel,
            "scrollbar-background-hover": palette.panel,
            "scrollbar-background-active": palette.panel,
            "scrollbar-corner-color": palette.panel,
            "footer-key-foreground": palette.accent,
        },
    )


def palettes_for(color_system: str | None, no_color: bool) -> tuple[Palette, ...]:
    """Return the palettes a terminal can show, to be gone through by one key.

    Parameters
    ----------
    color_system
        As Rich names it: "truecolor", "256", "standard" (sixteen colours), "windows", or None for
        a terminal without colours.
    no_color
        Whether the terminal was asked to show no colours at all (https://no-color.org).
    """
    if no_color or color_system is None:
        return (looks.PLAIN,)
    if color_system in {"truecolor", "256"}:
        return looks.DARK, looks.LIGHT, looks.STRONG
    return looks.SIXTEEN_DARK, looks.SIXTEEN_LIGHT


def palettes_shown(app: App[Any]) -> tuple[Palette, ...]:
    """Return the palettes an app's terminal can show; ask before the app runs.

    A picture, a test or a browser has no terminal that could lack colours.
    """
    colors = app.console.color_system if sys.stdout.isatty() else "truecolor"
    return palettes_for(colors, app.no_color)


def first_palette(palettes: Sequence[Palette], *, light: bool) -> Palette:
    """Return the palette to start with: the first light one if asked for, and if there is one."""
    lights = [palette for palette in palettes if not palette.dark]
    return lights[0] if light and lights else palettes[0]


def own_colours() -> bool | None:
    """Return what to ask of the framework so that it leaves our colours be under NO_COLOR.

    Otherwise it turns every one of them to a grey.
    """
    return True if "NO_COLOR" in os.environ else None


def wants_ascii(environ: Mapping[str, str] = os.environ, encoding: str = "utf-8") -> bool:
    """Return whether to draw with ASCII alone: an old terminal, or one that is not UTF-8."""
    utf8 = encoding.lower().replace("-", "").replace("_", "") == "utf8"
    return environ.get("TERM", "") in ASCII_TERMINALS or not utf8
