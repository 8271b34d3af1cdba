"""The board's two themes, for dark and for light rooms."""

from __future__ import annotations

from textual.theme import Theme

from floorboard.screens import looks

DARK = Theme(
    name="floorboard-dark",
    primary=looks.DARK_ACCENT,
    secondary="#8fb4d9",
    accent="#f0e442",
    warning="#f0b030",
    error="#ff8c4a",
    success="#35c99b",
    foreground=looks.DARK_INK,
    background=looks.DARK_GROUND,
    surface=looks.DARK_GROUND,
    panel=looks.DARK_PANEL,
    dark=True,
    variables={"text-muted": looks.DARK_QUIET, "footer-key-foreground": looks.DARK_ACCENT},
)

LIGHT = Theme(
    name="floorboard-light",
    primary=looks.LIGHT_ACCENT,
    secondary="#33597f",
    accent="#6b6300",
    warning="#7a5200",
    error="#a83c00",
    success="#00664a",
    foreground=looks.LIGHT_INK,
    background=looks.LIGHT_GROUND,
    surface=looks.LIGHT_GROUND,
    panel=looks.LIGHT_PANEL,
    dark=False,
    variables={"text-muted": looks.LIGHT_QUIET, "footer-key-foreground": looks.LIGHT_ACCENT},
)
