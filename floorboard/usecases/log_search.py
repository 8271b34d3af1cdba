"""Whether a line of the log holds what is searched for."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

# A number after one of these is its number: "mold 6" is not mold 60, nor layer 6 of another mold.
NUMBERED = frozenset({"mold", "layer", "step", "stage", "entry"})


def searcher(wanted: str) -> Callable[[str], bool]:
    """Return whether a text holds every wanted word, in any order, capitals or not.

    A number is found as a whole number, and directly after "mold", "layer" or the like if it was
    typed so. An empty search finds everything.
    """
    patterns: list[re.Pattern[str]] = []
    words = wanted.casefold().split()
    while words:
        word = words.pop(0)
        if word in NUMBERED and words and words[0].isdecimal():
            patterns.append(re.compile(rf"\b{word} {_whole(words.pop(0))}"))
        else:
            patterns.append(re.compile(_whole(word) if word.isdecimal() else re.escape(word)))

    def holds(text: str) -> bool:
        folded = text.casefold()
        return all(pattern.search(folded) for pattern in patterns)

    return holds


def _whole(number: str) -> str:
    """A number that is no part of a longer one, of a time or a weight; a serial may begin with it."""
    return rf"(?<![\d.:-]){re.escape(number)}(?!\d|[:.]\d)"
