"""What all shop definitions have in common: frozen, strict, named by an id."""

from __future__ import annotations

import unicodedata
from typing import Annotated

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, StringConstraints

LONGEST_NAME = 300

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


Id = Annotated[
    str,
    StringConstraints(pattern=r"^[a-z0-9][a-z0-9-]*$", max_length=40),
    Field(description="lower-case letters, digits and hyphens"),
]


def _visible(text: str) -> str:
    if not text.strip():
        raise ValueError(f"found {text!r}, expected a name that can be seen")
    return text


Name = Annotated[
    str,
    StringConstraints(min_length=1, max_length=LONGEST_NAME),
    AfterValidator(printable),
    AfterValidator(_visible),
]
Note = Annotated[str, StringConstraints(max_length=2000), AfterValidator(printable)]


class Definition(BaseModel):
    """A frozen value that refuses fields it does not know."""

    model_config = ConfigDict(frozen=True, extra="forbid", validate_default=True)
