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
    head: Sequence[str],
    rows: Sequence[Sequence[str]],
    width: int = 80,
    *,
    least_first: int = 16,
) -> Iterator[str]:
    """Yield a head and rows: the first column to the left as wide as is left over, the rest right.

    No line is wider than `width`: columns move closer together before the first is cut short, and
    those that do not fit beside `least_first` cells of the first are left out from the last on.
    """
    if not rows:
        return
    sizes = [max(cells(row[place]) for row in (head, *rows)) for place in range(len(head))]
    wanted, gap = sizes[0], 2
    while gap > 1 and min(wanted, least_first) + sum(size + gap for size in sizes[1:]) > width:
        gap -= 1
    shown = len(sizes)
    while shown > 1 and min(wanted, 8) + sum(size + gap for size in sizes[1:shown]) > width:
        shown -= 1
    first = min(wanted, width - sum(size + gap for size in sizes[1:shown]))
    for row in (head, *rows):
        line = fit(row[0], first)
        for text, size in zip(row[1:shown], sizes[1:shown], strict=True):
            line += " " * gap + fit(text, size, right=True)
        yield line.rstrip()


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
