"""Plain text in columns, counted in the cells a terminal gives each character."""

from __future__ import annotations

import unicodedata
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence


def cells(text: str) -> int:
    """Return how many cells a text takes."""
    return sum(_cells(character) for character in text)


def _cells(character: str) -> int:
    if unicodedata.combining(character) or unicodedata.category(character) in {"Mn", "Me", "Cf"}:
        return 0
    return 2 if unicodedata.east_asian_width(character) in {"W", "F"} else 1


def fit(text: str, width: int, *, right: bool = False) -> str:
    """Return a text cut or padded to so many cells; what is cut off ends with an ellipsis."""
    if cells(text) > width:
        kept, used = "", 0
        for character in text:
            if used + _cells(character) > width - 1:
                break
            kept += character
            used += _cells(character)
        text = kept + "…"
    padding = " " * (width - cells(text))
    return padding + text if right else text + padding


def table(
    head: Sequence[str], rows: Sequence[Sequence[str]], width: int = 80, least_first: int = 8
) -> Iterator[str]:
    """Yield a head and rows: the first column to the left as wide as is left over, the rest right.

    No line is wider than `width`.
    """
    if not rows:
        return
    sizes = [max(cells(row[column]) for row in (head, *rows)) for column in range(1, len(head))]
    wanted = max(cells(row[0]) for row in (head, *rows))
    first = min(wanted, max(least_first, width - sum(sizes) - 2 * len(sizes)))
    for row in (head, *rows):
        rest = "".join(
            "  " + fit(text, size, right=True) for text, size in zip(row[1:], sizes, strict=True)
        )
        yield (fit(row[0], first) + rest).rstrip()


def wrapped(text: str, width: int = 80, indent: str = "  ") -> Iterator[str]:
    """Yield a sentence in lines no wider than `width`; further lines are indented.

    A single word wider than that is left whole.
    """
    words = text.split()
    if not words:
        return
    line = text[: len(text) - len(text.lstrip())] + words[0]
    for word in words[1:]:
        if cells(line) + 1 + cells(word) > width:
            yield line
            line = indent + word
        else:
            line = f"{line} {word}"
    yield line
