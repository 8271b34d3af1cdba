"""A mold's next hour as a strip of cells on one common time axis.

From left to right: still curing, open for the next layer, closed. All molds share the axis, so
windows that lie under each other can share a batch.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from floorboard.screens.floor_screen.mold_row import Ribbon

CURING, OPEN, CLOSED, PLANNED, BLANK = "╌", "━", " ", "▼", " "
MARK = "┊"
ASCII = str.maketrans({CURING: "-", OPEN: "=", PLANNED: "v", MARK: ":"})


def ribbon_cells(ribbon: Ribbon, width: int, seconds: float, ascii_only: bool) -> str:
    """Return the strip: `width` cells that cover `seconds` from now."""
    if width <= 0:
        return ""
    cell = seconds / width
    if ribbon.opens_in is None:
        cells = BLANK * width
    else:
        curing = _cells_until(ribbon.opens_in, cell, width)
        until = width if ribbon.closes_in is None else _cells_until(ribbon.closes_in, cell, width)
        opened = max(0, until - curing)
        cells = (CURING * curing + OPEN * opened).ljust(width, CLOSED)
    if ribbon.planned_in is not None and ribbon.planned_in < seconds:
        at = max(0, int(ribbon.planned_in // cell))
        cells = cells[:at] + PLANNED + cells[at + 1 :]
    return cells.translate(ASCII) if ascii_only else cells


def _cells_until(seconds: float, cell: float, width: int) -> int:
    """Return how many cells have their middle before a moment so many seconds from now."""
    return min(width, max(0, math.ceil(seconds / cell - 0.5)))


def ribbon_scale(width: int, seconds: float, ascii_only: bool) -> str:
    """Return the axis above the strips: "now", then a mark every quarter of an hour."""
    marks = [" "] * width
    for minutes in range(15, int(seconds // 60), 15):
        label = f"{':' if ascii_only else MARK}{minutes}"
        start = int(minutes * 60 / seconds * width)
        if start + len(label) <= width:
            marks[start : start + len(label)] = label
    if width >= 3:
        marks[0:3] = "now"
    return "".join(marks)


def ribbon_seconds(width: int) -> float:
    """Return how much time a strip of this width shows: two minutes a cell, an hour at least."""
    return max(3600.0, min(width * 120.0, 4 * 3600.0))
