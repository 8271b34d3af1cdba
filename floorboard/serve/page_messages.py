"""What a page may say over its socket. Anything else is passed over without a word."""

from __future__ import annotations

import json
from dataclasses import dataclass

LONGEST_MESSAGE_BYTES = 64 * 1024
"""Longer ones end the connection; a paste of ten thousand characters fits."""
_COLUMNS = (20, 500)
_ROWS = (5, 200)


@dataclass(frozen=True, slots=True)
class Keys:
    """Keys pressed, taps and pastes, as a terminal sends them."""

    data: bytes


@dataclass(frozen=True, slots=True)
class Size:
    """The page's terminal, in character cells: 20-500 columns, 5-200 rows."""

    columns: int
    rows: int


@dataclass(frozen=True, slots=True)
class Ping:
    """A question whether the connection stands; the mark is sent back."""

    mark: str


@dataclass(frozen=True, slots=True)
class Focus:
    """The page's terminal gained or lost the keyboard."""

    gained: bool


PageMessage = Keys | Size | Ping | Focus


def size_within_limits(columns: object, rows: object) -> Size:
    """Return a size drawn into the limits; 80 by 24 for what is no number."""
    return Size(_drawn_in(columns, 80, *_COLUMNS), _drawn_in(rows, 24, *_ROWS))


def read_message(text: str) -> PageMessage | None:
    """Read one message of the page, ``[kind, content]`` in JSON; None if it is not one."""
    try:
        envelope = json.loads(text)
    except (ValueError, RecursionError):
        return None
    if not isinstance(envelope, list) or not envelope:
        return None
    content = envelope[1] if len(envelope) > 1 else None
    match envelope[0], content:
        case "stdin", str():
            return Keys(content.encode("utf-8", "replace"))
        case "resize", {"width": int() as columns, "height": int() as rows}:
            return size_within_limits(columns, rows)
        case "ping", str():
            return Ping(content[:40])
        case "focus", _:
            return Focus(gained=True)
        case "blur", _:
            return Focus(gained=False)
    return None


def _drawn_in(value: object, otherwise: int, least: int, most: int) -> int:
    try:
        number = int(str(value)[:10])
    except ValueError:
        number = otherwise
    return max(least, min(most, number))
