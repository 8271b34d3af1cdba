"""Draws with ASCII and letters alone, whatever draws: for a plain console and its font.

What the board draws itself has signs of its own for such a terminal. The framework's frames, scroll
bars and marks, and the "…" of a text cut short, are put into others here: one place for all of them.
"""

from __future__ import annotations

import unicodedata
from functools import lru_cache
from typing import TYPE_CHECKING

from rich.segment import Segment
from textual.filter import LineFilter

if TYPE_CHECKING:
    from textual.color import Color

_SIGNS = {
    "-": "─━╌┄▔▁╴╶",
    "|": "│┃┊╎▌▐▊▉▋▍▎▏▕",
    "+": "┌┐└┘├┤┬┴┼╭╮╰╯╔╗╚╝",
    "#": "░▒▓█▀▄▂▃▅▆▇▖▗▘▝▙▛▜▟▚▞◆■",
    ">": "→▸▶",
    "<": "←◂◀",
    "^": "▲↑",
    "v": "▼↓",
    "x": "✖✓",
    ".": "…·○",
    "@": "●",
    "o": "◑",
    "_": "□",
    "=": "‖",
    "~": "≈",
    "2": "²",
}
LIKE = {ord(sign): plain for plain, signs in _SIGNS.items() for sign in signs}


class ConsoleFont(LineFilter):
    """Puts every sign that is neither ASCII nor a letter into one that is."""

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:  # noqa: ARG002
        """Return the segments with the signs put in the place of those missing."""
        return [
            segment
            if segment.control or segment.text.isascii()
            else Segment(console_text(segment.text), segment.style)
            for segment in segments
        ]


@lru_cache(maxsize=4096)
def console_text(text: str) -> str:
    """Return a text in letters and ASCII, each sign as wide as the one it stands for.

    A sign that is not known here becomes "?", a braille dot of a plot "*".
    """
    return "".join(map(_console_sign, text.translate(LIKE)))


def _console_sign(sign: str) -> str:
    if sign.isascii() or unicodedata.category(sign)[0] in "LM":
        return sign
    return "*" if 0x2800 <= ord(sign) < 0x2900 else "?"
