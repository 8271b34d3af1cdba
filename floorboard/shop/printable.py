"""Text that a screen can show as typed."""

from __future__ import annotations

import unicodedata

# So long may a station's name in the log be, and what a shop was loaded from.
LONGEST_STATION, LONGEST_SOURCE = 60, 300

# Direction overrides would turn round the rest of a line on the screen, not just the name.
_DIRECTION_OVERRIDES = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def printable(text: str) -> str:
    """Return the text unchanged if a screen can show it as typed.

    Raises
    ------
    ValueError
        If it holds control characters, which could drive a terminal, direction overrides or
        line breaks.
    """
    if text.isascii() and text.isprintable():
        return text
    for character in text:
        if (
            unicodedata.category(character) in {"Cc", "Cs", "Zl", "Zp"}
            or character in _DIRECTION_OVERRIDES
        ):
            raise ValueError(
                f"found the character U+{ord(character):04X}, expected text without control characters"
            )
    return text
