"""Every palette is legible, and no state is told by colour alone."""

from __future__ import annotations

import itertools

import pytest
from rich.color import Color, ColorSystem

from floorboard.floor.standing import URGENCY
from floorboard.screens import looks
from floorboard.screens.looks import LOOKS, PALETTES, Palette
from floorboard.screens.theme import palettes_for, theme_of, wants_ascii

# WCAG 2.2, success criteria 1.4.3 (AA) and 1.4.6 (AAA), for text of normal size.
LEAST_CONTRAST = 4.5
STRONG_CONTRAST = 7.0

# Machado, Oliveira and Fernandes, "A Physiologically-based Model for Simulation of Color Vision
# Deficiency", IEEE TVCG 15(6), 2009, table 1, severity 1.0 (from memory).
DEFICIENCIES = {
    "protan": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    "deutan": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
    "tritan": (
        (1.255528, -0.076749, -0.178779),
        (-0.078411, 0.930809, 0.147602),
        (0.004733, 0.691367, 0.303900),
    ),
}

# The text colours of the VGA, 0 to 15, which terminals of sixteen colours are held to.
SIXTEEN = [
    "#000000",
    "#aa0000",
    "#00aa00",
    "#aa5500",
    "#0000aa",
    "#aa00aa",
    "#00aaaa",
    "#aaaaaa",
    "#555555",
    "#ff5555",
    "#55ff55",
    "#ffff55",
    "#5555ff",
    "#ff55ff",
    "#55ffff",
    "#ffffff",
]


def linear(colour: str) -> list[float]:
    """Return the linear-light components of an sRGB colour (IEC 61966-2-1), 0 to 1."""
    parts = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    return [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two colours by WCAG 2.2's definition, 1 to 21."""
    bright, dim = sorted(
        (
            sum(w * p for w, p in zip((0.2126, 0.7152, 0.0722), linear(c), strict=True))
            for c in (one, other)
        ),
        reverse=True,
    )
    return (bright + 0.05) / (dim + 0.05)


def test_contrast_is_that_of_the_standard() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    # The grey that WebAIM's articles give as the lightest that passes on white: 4.54:1.
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.005)


@pytest.mark.parametrize("palette", PALETTES.values(), ids=lambda palette: palette.name)
def test_every_text_is_legible_on_every_ground(palette: Palette) -> None:
    least = STRONG_CONTRAST if palette is looks.STRONG else LEAST_CONTRAST
    short = {
        (ink, ground): round(contrast(ink_colour, ground_colour), 2)
        for ink, ink_colour in palette.inks.items()
        for ground, ground_colour in palette.grounds.items()
        if contrast(ink_colour, ground_colour) < least
    }
    assert short == {}


def in_256(colour: str) -> str:
    """Return what a terminal of 256 colours shows for a colour."""
    return Color.parse(colour).downgrade(ColorSystem.EIGHT_BIT).get_truecolor().hex


@pytest.mark.parametrize("palette", [looks.DARK, looks.LIGHT, looks.STRONG], ids=lambda p: p.name)
def test_every_text_is_legible_and_every_ground_distinct_in_256_colours(palette: Palette) -> None:
    grounds = {name: in_256(colour) for name, colour in palette.grounds.items()}
    assert len(set(grounds.values())) == 3
    short = {
        (ink, ground): round(contrast(in_256(ink_colour), ground_colour), 2)
        for ink, ink_colour in palette.inks.items()
        for ground, ground_colour in grounds.items()
        if contrast(in_256(ink_colour), ground_colour) < LEAST_CONTRAST
    }
    assert short == {}


@pytest.mark.parametrize("palette", PALETTES.values(), ids=lambda palette: palette.name)
def test_every_badge_is_legible(palette: Palette) -> None:
    for state, tone in palette.tones.items():
        assert contrast(palette.badge_ink, tone) >= LEAST_CONTRAST, state


def test_each_state_has_a_word_a_shape_and_an_ascii_shape_of_its_own() -> None:
    assert set(LOOKS) == set(URGENCY)
    assert len({look.shape for look in LOOKS.values()}) == len(LOOKS)
    assert len({look.ascii_shape for look in LOOKS.values()}) == len(LOOKS)
    assert all(look.ascii_shape.isascii() and len(look.shape) == 1 for look in LOOKS.values())


def as_seen(colour: str, deficiency: str) -> tuple[float, ...]:
    """Return a colour in CIELAB (D65) as someone with a colour-vision deficiency sees it."""
    seen = [
        min(1.0, max(0.0, sum(w * p for w, p in zip(row, linear(colour), strict=True))))
        for row in DEFICIENCIES[deficiency]
    ]
    # sRGB to CIE XYZ by IEC 61966-2-1, white point D65.
    rows = ((0.4124, 0.3576, 0.1805), (0.2126, 0.7152, 0.0722), (0.0193, 0.1192, 0.9505))
    white = (0.9505, 1.0, 1.089)
    x, y, z = (
        sum(w * p for w, p in zip(row, seen, strict=True)) / whitest
        for row, whitest in zip(rows, white, strict=True)
    )
    f = [t ** (1 / 3) if t > (6 / 29) ** 3 else t / (3 * (6 / 29) ** 2) + 4 / 29 for t in (x, y, z)]
    return 116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])


@pytest.mark.parametrize("deficiency", DEFICIENCIES)
@pytest.mark.parametrize("palette", [looks.DARK, looks.STRONG], ids=lambda palette: palette.name)
def test_the_states_that_call_stay_apart_for_colour_blind_eyes(
    palette: Palette, deficiency: str
) -> None:
    strong = [state for state, look in LOOKS.items() if look.strong]
    for one, other in itertools.combinations(strong, 2):
        a, b = (as_seen(palette.tones[state], deficiency) for state in (one, other))
        difference = sum((p - q) ** 2 for p, q in zip(a, b, strict=True)) ** 0.5
        # A difference of 2.3 is just noticeable (Mahy, Van Eycken and Oosterlinck, 1994).
        assert difference > 4 * 2.3, (one, other, difference)


@pytest.mark.parametrize("palette", [looks.SIXTEEN_DARK, looks.SIXTEEN_LIGHT])
def test_the_palettes_of_sixteen_are_sent_as_they_are(palette: Palette) -> None:
    for colour in {*palette.inks.values(), *palette.grounds.values(), palette.badge_ink}:
        sent = Color.parse(colour).downgrade(ColorSystem.STANDARD)
        assert sent.number == SIXTEEN.index(colour)


def test_a_terminal_gets_palettes_it_can_show() -> None:
    assert palettes_for("truecolor", no_color=False) == (looks.DARK, looks.LIGHT, looks.STRONG)
    assert palettes_for("standard", no_color=False)[0] is looks.SIXTEEN_DARK
    assert palettes_for("truecolor", no_color=True) == (looks.PLAIN,)
    assert palettes_for(None, no_color=False) == (looks.PLAIN,)


def test_the_plain_palette_sets_apart_without_colour() -> None:
    assert looks.PLAIN.badge("due").reverse
    assert looks.PLAIN.chosen_style().color is None
    assert looks.PLAIN.chosen_style().bgcolor is None


def test_a_theme_leaves_no_text_colour_to_the_framework() -> None:
    for palette in PALETTES.values():
        theme = theme_of(palette)
        assert theme.foreground == palette.ink
        assert theme.variables["text-muted"] == palette.quiet


@pytest.mark.parametrize(
    ("environ", "encoding", "ascii_only"),
    [
        ({"TERM": "linux"}, "utf-8", True),
        ({"TERM": "xterm-256color"}, "UTF-8", False),
        ({"TERM": "xterm-256color"}, "ascii", True),
        ({}, "utf8", False),
    ],
)
def test_old_terminals_get_ascii(environ: dict[str, str], encoding: str, ascii_only: bool) -> None:
    assert wants_ascii(environ, encoding) is ascii_only
