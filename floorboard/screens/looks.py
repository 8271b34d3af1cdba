"""How a state looks: a word, a shape and a colour, all three always together.

The colours of the dark and the light palette are after Okabe and Ito, "Color Universal Design"
(2008): a set that people with the common colour-blindnesses can tell apart. Every text has a
contrast of at least 4.5:1 against every ground it can stand on (WCAG 2.2, criterion 1.4.3), in the
strong palette 7:1 (criterion 1.4.6). The two palettes of sixteen use only the colours that a
terminal of sixteen colours has, so that nothing is rounded to an unreadable neighbour.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from rich.style import Style

if TYPE_CHECKING:
    from collections.abc import Mapping

    from floorboard.floor.standing import State


@dataclass(frozen=True, slots=True)
class Look:
    """A state's shape, its shape where only ASCII shows, and whether it is drawn as a badge."""

    shape: str
    ascii_shape: str
    strong: bool = False


LOOKS: dict[State, Look] = {
    "window lost": Look("✖", "X", strong=True),
    "closing": Look("▲", "^", strong=True),
    "due": Look("●", "@", strong=True),
    "in hand": Look("◆", "#", strong=True),
    "soon": Look("◑", "o"),
    "curing": Look("○", "."),
    "empty": Look("□", "_"),
    "set aside": Look("‖", "="),
    "resting": Look("≈", "~"),
    "out": Look("⊘", "-"),
}


@dataclass(frozen=True, slots=True)
class Palette:
    """The colours of one theme.

    `badge_ink` is the text on a ground of any state's tone. A `plain` palette has no colours to
    rely on: what it must set apart it sets apart by reverse and bold.
    """

    name: str
    dark: bool
    ground: str
    panel: str
    chosen: str
    ink: str
    quiet: str
    accent: str
    badge_ink: str
    tones: Mapping[State, str]
    plain: bool = False

    @property
    def words(self) -> str:
        """What the palette is called where the key for colours is explained."""
        return PALETTE_WORDS[self.name]

    @property
    def inks(self) -> dict[str, str]:
        """Return every colour that text has on the three grounds, by what it is for."""
        named = {"ink": self.ink, "quiet": self.quiet, "accent": self.accent}
        return named | {str(state): tone for state, tone in self.tones.items()}

    @property
    def grounds(self) -> dict[str, str]:
        """Return every ground that text stands on, by what it is for."""
        return {"ground": self.ground, "panel": self.panel, "chosen": self.chosen}

    def tone(self, state: State) -> Style:
        """Return the style of text about a state."""
        return Style(color=self.tones[state], bold=LOOKS[state].strong)

    def badge(self, state: State) -> Style:
        """Return the style of a state set off as a block."""
        if self.plain:
            return Style(bold=True, reverse=True)
        return Style(color=self.badge_ink, bgcolor=self.tones[state], bold=True)

    def quiet_style(self) -> Style:
        """Return the style of what matters less."""
        return Style(color=self.quiet)

    def chosen_style(self) -> Style:
        """Return the style of a chosen row's ground."""
        return Style(bold=True, underline=True) if self.plain else Style(bgcolor=self.chosen)

    def key_style(self) -> Style:
        """Return the style of a key's name."""
        return Style(color=self.accent, bold=True)


DARK = Palette(
    name="floorboard-dark",
    dark=True,
    ground="#16181b",
    panel="#212529",
    chosen="#2e3439",
    ink="#e8eaec",
    quiet="#a3adb6",
    accent="#7cc4f0",
    badge_ink="#16181b",
    tones={
        "window lost": "#ff8c4a",
        "closing": "#f0b030",
        "due": "#f0e442",
        "in hand": "#35c99b",
        "soon": "#7cc4f0",
        "curing": "#8fb4d9",
        "empty": "#b0b0b0",
        "set aside": "#d9a0c4",
        "resting": "#b0b0b0",
        "out": "#b0b0b0",
    },
)

LIGHT = Palette(
    name="floorboard-light",
    dark=False,
    ground="#fbfbfa",
    panel="#f0f0ee",
    chosen="#e6e5e2",
    ink="#1c1f22",
    quiet="#565e66",
    accent="#005a94",
    badge_ink="#ffffff",
    tones={
        "window lost": "#9e2a00",
        "closing": "#704000",
        "due": "#6b6300",
        "in hand": "#00664a",
        "soon": "#005a94",
        "curing": "#2f4f75",
        "empty": "#595959",
        "set aside": "#7a2d5c",
        "resting": "#595959",
        "out": "#5b5b5b",
    },
)

STRONG = Palette(
    name="floorboard-strong",
    dark=True,
    ground="#000000",
    panel="#161616",
    chosen="#002b45",
    ink="#ffffff",
    quiet="#d4d4d4",
    accent="#9fd9ff",
    badge_ink="#000000",
    tones={
        "window lost": "#ffab7d",
        "closing": "#ffc247",
        "due": "#fff27a",
        "in hand": "#62ecc0",
        "soon": "#9fd9ff",
        "curing": "#bcd8f5",
        "empty": "#d4d4d4",
        "set aside": "#f2bfdf",
        "resting": "#d4d4d4",
        "out": "#cccccc",
    },
)

SIXTEEN_DARK = Palette(
    name="floorboard-sixteen-dark",
    dark=True,
    ground="#000000",
    panel="#000000",
    chosen="#0000aa",
    ink="#ffffff",
    quiet="#aaaaaa",
    accent="#55ffff",
    badge_ink="#000000",
    tones={
        "window lost": "#ff55ff",
        "closing": "#ffff55",
        "due": "#55ffff",
        "in hand": "#55ff55",
        "soon": "#00aaaa",
        "curing": "#aaaaaa",
        "empty": "#aaaaaa",
        "set aside": "#aaaaaa",
        "resting": "#aaaaaa",
        "out": "#aaaaaa",
    },
)

SIXTEEN_LIGHT = Palette(
    name="floorboard-sixteen-light",
    dark=False,
    ground="#ffffff",
    panel="#ffffff",
    chosen="#ffff55",
    ink="#000000",
    quiet="#555555",
    accent="#0000aa",
    badge_ink="#ffffff",
    tones={
        "window lost": "#aa0000",
        "closing": "#aa5500",
        "due": "#aa00aa",
        "in hand": "#0000aa",
        "soon": "#0000aa",
        "curing": "#555555",
        "empty": "#555555",
        "set aside": "#555555",
        "resting": "#555555",
        "out": "#555555",
    },
)

# For a terminal that was asked to show no colours: the colours named here are never sent.
PLAIN = replace(DARK, name="floorboard-plain", plain=True)

PALETTE_WORDS = {
    DARK.name: "dark",
    LIGHT.name: "light",
    STRONG.name: "strong contrast",
    SIXTEEN_DARK.name: "dark in sixteen colours",
    SIXTEEN_LIGHT.name: "light in sixteen colours",
    PLAIN.name: "no colours",
}
PALETTES: dict[str, Palette] = {
    palette.name: palette for palette in (DARK, LIGHT, STRONG, SIXTEEN_DARK, SIXTEEN_LIGHT, PLAIN)
}


def palette_of(theme: str) -> Palette:
    """Return the palette of a theme, by its name."""
    return PALETTES.get(theme, DARK)


def shape(state: State, ascii_only: bool) -> str:
    """Return a state's shape."""
    return LOOKS[state].ascii_shape if ascii_only else LOOKS[state].shape
