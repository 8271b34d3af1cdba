"""The keys of the on-screen keypad and where each lies. Pure: no widget.

Every key is at least 5 cells wide and 3 high, so that a gloved finger hits it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from floorboard.shop.quantities import (
    Area,
    Density,
    Duration,
    Length,
    Mass,
    Percent,
    Quantity,
    Temperature,
    Volume,
)

Page = Literal["digits", "letters", "words"]
Does = Literal["type", "word", "rub out", "take", "leave", "page", "capitals", "nothing"]

KEY_ROWS = 3
LEAST_KEY_CELLS = 5
MOST_UNITS = 5
MOST_WORDS = 9
# The units that have keys. A question's example tells which: "2.5 mm" asks for a length.
UNIT_KEYS: tuple[tuple[type[Quantity], tuple[str, ...]], ...] = (
    (Mass, ("g", "kg", "lb", "oz")),
    (Duration, ("min", "h", "s", "d")),
    (Length, ("mm", "cm", "m", "in", "ft")),
    (Area, ("cm2", "m2", "in2", "ft2")),
    (Volume, ("ml", "l", "gal", "floz")),
    (Density, ("g/ml", "kg/m3", "lb/ft3")),
    (Percent, ("%",)),
    (Temperature, ("C", "F")),
)


@dataclass(frozen=True, slots=True)
class PadKey:
    """A key: what stands on it, what it does, what it types; `span` columns wide."""

    label: str
    does: Does = "type"
    text: str = ""
    span: int = 1


@dataclass(frozen=True, slots=True)
class PadLegend:
    """What differs from question to question: units, quick words, what the last keys are called."""

    units: tuple[str, ...] = ()
    words: tuple[str, ...] = ()
    take: str = "Take"
    leave: str = "Leave"


BLANK = PadKey("", "nothing")


def pad_rows(page: Page, legend: PadLegend, *, capitals: bool = False) -> list[list[PadKey]]:
    """Return a page's keys, four rows of them."""
    if page == "words" and legend.words:
        return _words(legend)
    if page == "letters":
        return _letters(legend, capitals)
    return _digits(legend)


def _digits(legend: PadLegend) -> list[list[PadKey]]:
    units = [PadKey(unit, "type", f" {unit}") for unit in legend.units]
    free = [*units, *_typed(":/"), *[BLANK] * MOST_UNITS][:MOST_UNITS]
    words = PadKey("words", "page", "words") if legend.words else BLANK
    return [
        [*_typed("789"), free[0], free[1], PadKey("rub out", "rub out")],
        [*_typed("456"), free[2], free[3], *_typed("-")],
        [*_typed("123"), free[4], *_typed(","), PadKey("space", "type", " ")],
        [
            *_typed("0."),
            PadKey("a-z", "page", "letters"),
            words,
            PadKey(legend.leave, "leave"),
            PadKey(legend.take, "take"),
        ],
    ]


def _letters(legend: PadLegend, capitals: bool) -> list[list[PadKey]]:
    alphabet = "abcdefghijklmnopqrstuvwxyz"
    shown = alphabet.upper() if capitals else alphabet
    return [
        _typed(shown[:9]),
        _typed(shown[9:18]),
        [*_typed(shown[18:]), PadKey("rub", "rub out")],
        [
            PadKey("0-9", "page", "digits"),
            PadKey("abc" if capitals else "ABC", "capitals"),
            *_typed(",.-"),
            PadKey("space", "type", " ", span=2),
            PadKey(legend.leave, "leave"),
            PadKey(legend.take, "take"),
        ],
    ]


def _words(legend: PadLegend) -> list[list[PadKey]]:
    keys = [PadKey(word, "word", word, span=2) for word in legend.words[:MOST_WORDS]]
    keys += [PadKey("", "nothing", span=2)] * (MOST_WORDS - len(keys))
    last = [
        PadKey("0-9", "page", "digits"),
        PadKey("a-z", "page", "letters"),
        PadKey("rub out", "rub out"),
        PadKey("space", "type", " "),
        PadKey(legend.leave, "leave"),
        PadKey(legend.take, "take"),
    ]
    return [keys[:3], keys[3:6], keys[6:], last]


def _typed(characters: str) -> list[PadKey]:
    return [PadKey(character, "type", character) for character in characters]


def laid_out(row: list[PadKey], width: int) -> list[tuple[int, int, PadKey]]:
    """Return each key of a row with its first cell and how many cells it has of so many."""
    columns = sum(key.span for key in row)
    edges = [place * width // columns for place in range(columns + 1)]
    found, at = [], 0
    for key in row:
        found.append((edges[at], edges[at + key.span] - edges[at], key))
        at += key.span
    return found


def units_for(example: str) -> tuple[str, ...]:
    """Return the units to choose from where something like the example is typed."""
    words = set(example.replace(",", " ").split())
    found = [unit for kind, units in UNIT_KEYS if words & set(kind.factors) for unit in units]
    return tuple(found[:MOST_UNITS])
