"""The far view as rows of text in the size there is. Pure: no widget, no colour but a state's."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from floorboard.screens import looks
from floorboard.screens.block_digits import (
    block_height,
    block_rows,
    block_width,
    largest_scale,
)
from floorboard.screens.countdown import countdown
from floorboard.screens.fit import fit

if TYPE_CHECKING:
    from collections.abc import Sequence

    from floorboard.floor.standing import State
    from floorboard.screens.far_screen.far_view import FarItem

Part = Literal["label", "verb", "count", "next", "said", "blank"]


@dataclass(frozen=True, slots=True)
class FarRow:
    """One row: its text, exactly as wide as the screen, what it is, and whose state colours it."""

    text: str
    part: Part
    state: State | None = None


BLANK_STATE: State = "empty"


def far_rows(
    items: Sequence[FarItem], width: int, height: int, *, said: str = "", ascii_only: bool = False
) -> list[FarRow]:
    """Return the far view as `height` rows of `width` cells.

    The first item in block letters that fill the width, the two following beneath, one line each.
    """
    if not items:
        return _nothing(width, height, said)
    first, following = items[0], items[1:]
    foot = [FarRow(_next_line(item, width, ascii_only), "next", item.state) for item in following]
    foot = foot[: max(0, height - 8)]
    if said:
        foot = [*foot, FarRow(fit(f" {said}", width), "said")]
    room = height - 1 - len(foot)
    rows = [FarRow(_label(first, width, ascii_only), "label", first.state)]
    rows += _blocks(first, width, room, ascii_only)
    rows += [FarRow(" " * width, "blank")] * (height - len(rows) - len(foot))
    return [*rows[: height - len(foot)], *foot]


def _blocks(item: FarItem, width: int, room: int, ascii_only: bool) -> list[FarRow]:
    """Return the verb and the countdown in blocks, as large as the room allows."""
    margin = 2 if width >= 40 else 0
    inner = width - 2 * margin
    verb = f"{item.verb} {item.molds}".strip()
    count = countdown(item.seconds) if item.seconds is not None else ""
    spare = 2 if room >= 16 else 1 if room >= 8 else 0
    count_scale = largest_scale(count, inner, room - spare - block_height(1)) if count else 0
    left = room - spare - (block_height(count_scale) if count else 0)
    verb_scale = largest_scale(verb, inner, max(left, block_height(1)))
    rows: list[FarRow] = []

    def put(text: str, scale: int, part: Part) -> None:
        if spare and (rows or spare > 1):
            rows.append(FarRow(" " * width, "blank"))
        for row in _block(text, scale, inner, ascii_only):
            rows.append(FarRow(fit(" " * margin + row, width), part, item.state))

    put(verb, verb_scale, "verb")
    if count:
        put(count, count_scale, "count")
    if len(rows) > room:
        # Too low for both in blocks: the countdown stays large, the verb is in the label.
        rows = [row for row in rows if row.part == "count"][:room]
    return rows


def _block(text: str, scale: int, width: int, ascii_only: bool) -> list[str]:
    if block_width(text, scale) > width:
        return [fit(text, width)]
    return block_rows(text, scale, ascii_only, width)


def _label(item: FarItem, width: int, ascii_only: bool) -> str:
    """Return state and words in one line, with what the count means at its end."""
    shape = looks.shape(item.state, ascii_only)
    counts = f" | {item.counts} " if item.counts else " "
    left = f" {shape} {item.state}  {item.who}: {item.words}"
    if width - len(counts) < 30:
        return fit(left, width)
    return fit(left, width - len(counts)) + counts


def _next_line(item: FarItem, width: int, ascii_only: bool) -> str:
    shape = looks.shape(item.state, ascii_only)
    count = f"{countdown(item.seconds)} " if item.seconds is not None else ""
    return fit(f" {shape} {item.who}: {item.words}", width - len(count)) + count


def _nothing(width: int, height: int, said: str) -> list[FarRow]:
    middle = height // 2
    words = said or "Nothing to do now"
    return [
        FarRow(fit(words.center(width) if row == middle else "", width), "said")
        for row in range(height)
    ]
