"""How a state looks: a word, a shape and a colour, all three always together.

The colours are after Okabe and Ito, "Color Universal Design" (2008): a set that people with the
common colour-blindnesses can tell apart. Each has a tone for dark and one for light ground, each
with a contrast of at least 4.5:1 against it (WCAG 2.2, criterion 1.4.3).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from floorboard.floor.standing import State


@dataclass(frozen=True, slots=True)
class Look:
    """A state's shape, its shape where only ASCII shows, and its tones on dark and light ground."""

    shape: str
    ascii_shape: str
    dark: str
    light: str
    strong: bool = False


LOOKS: dict[State, Look] = {
    "window lost": Look("✖", "X", "#ff8c4a", "#a83c00", strong=True),
    "closing": Look("▲", "^", "#f0b030", "#7a5200", strong=True),
    "due": Look("●", "@", "#f0e442", "#6b6300", strong=True),
    "in hand": Look("◆", "#", "#35c99b", "#00664a", strong=True),
    "soon": Look("◑", "o", "#7cc4f0", "#005a94"),
    "curing": Look("○", ".", "#8fb4d9", "#33597f"),
    "empty": Look("□", "_", "#b0b0b0", "#595959"),
    "set aside": Look("‖", "=", "#d9a0c4", "#8a3d6c"),
    "resting": Look("≈", "~", "#b0b0b0", "#595959"),
    "out": Look("⊘", "-", "#a0a0a0", "#5f5f5f"),
}

DARK_GROUND = "#14181c"
DARK_INK = "#e8eaec"
DARK_PANEL = "#1f262c"
DARK_CHOSEN = "#36424d"
LIGHT_GROUND = "#fbfaf7"
LIGHT_INK = "#1c1f22"
LIGHT_PANEL = "#ecebe5"
LIGHT_CHOSEN = "#dcd9cc"
DARK_QUIET = "#9aa4ad"
LIGHT_QUIET = "#5a626a"
DARK_ACCENT = "#7cc4f0"
LIGHT_ACCENT = "#005a94"


def tone(state: State, dark: bool) -> str:
    """Return a state's colour on dark or light ground."""
    return LOOKS[state].dark if dark else LOOKS[state].light


def shape(state: State, ascii_only: bool) -> str:
    """Return a state's shape."""
    return LOOKS[state].ascii_shape if ascii_only else LOOKS[state].shape
