"""A mold's next hour as a strip of cells on one common time axis.

From left to right: still curing, open for the next layer, closed. All molds share the axis, so
windows that lie under each other can share a batch.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from floorboard.screens.floor_screen.floor_view import Ribbon

CURING, OPEN, CLOSED, PLANNED, BLANK = "╌", "━", " ", "▼", " "
ASCII = {CURING: "-", OPEN: "=", PLANNED: "v", "┊": ":"}


def ribbon_cells(ribbon: Ribbon, width: int, seconds: float, ascii_only: bool) -> str:
    """Return the strip: `width` cells that cover `seconds` from now."""
    if width <= 0:
        return ""
    cell = seconds / width
    if ribbon.opens_in is None:
        cells = [BLANK] * width
    else:
        cells = [_cell(ribbon, (index + 0.5) * cell) for index in range(width)]
    if ribbon.planned_in is not None and ribbon.planned_in < seconds:
        cells[max(0, int(ribbon.planned_in // cell))] = PLANNED
    if ascii_only:
        return "".join(ASCII.get(character, character) for character in cells)
    return "".join(cells)


def _cell(ribbon: Ribbon, at: float) -> str:
    if ribbon.opens_in is not None and at < ribbon.opens_in:
        return CURING
    if ribbon.closes_in is not None and at > ribbon.closes_in:
        return CLOSED
    return OPEN


def ribbon_scale(width: int, seconds: float, ascii_only: bool) -> str:
    """Return the axis above the strips: "now", then a mark every quarter of an hour."""
    marks = [" "] * width
    for minutes in range(15, int(seconds // 60), 15):
        label = f"{':' if ascii_only else '┊'}{minutes}"
        start = int(minutes * 60 / seconds * width)
        if start + len(label) <= width:
            marks[start : start + len(label)] = label
    if width >= 3:
        marks[0:3] = "now"
    return "".join(marks)


def ribbon_seconds(width: int) -> float:
    """Return how much time a strip of this width shows: two minutes a cell, an hour at least."""
    return max(3600.0, min(width * 120.0, 4 * 3600.0))
