"""What can be supposed about a shop, and a table of what came of it, as lines. Pure."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.planning.scenario import Scenario
from floorboard.planning.whatif import along
from floorboard.screens.lines import Line, Span, line, wrap_text
from floorboard.shop.mixes import WorkingTimeTable

if TYPE_CHECKING:
    from collections.abc import Sequence

    from floorboard.planning.whatif import Axis, WhatIf
    from floorboard.shop.shop import Shop

AS_IT_IS = "as it is"
# Buckets beside the shop's largest, as shares of it.
BUCKETS = (0.5, 0.75, 1.5, 2.0)
MOST_POINTS = 6
# Columns after the name: castings a shift, share of the hands' time, cost of a casting.
COLUMNS = (9, 7, 14)
LEAST_NAME = 12


def scenarios_of(shop: Shop, axis: Axis) -> list[Scenario]:
    """Return the shop as it is and what to compare with it along an axis.

    Only the shop as it is where nothing can be supposed: no mix has a table of its accelerator.
    """
    return [Scenario(name=AS_IT_IS), *along(axis, _values(shop, axis))]


def _values(shop: Shop, axis: Axis) -> list[float]:
    if axis == "molds":
        here = len(shop.molds)
        return [count for count in (here - 2, here - 1, here + 1, here + 2, here + 4) if count > 0]
    if axis == "people":
        here = len(shop.people)
        return [count for count in (here - 1, here + 1, here + 2) if count > 0]
    if axis == "largest_batch_grams":
        largest = max((float(mix.largest_batch) for mix in shop.mixes.values()), default=0.0)
        return [share * largest for share in BUCKETS if largest]
    tables = [m.working_time for m in shop.mixes.values()]
    found = {
        float(point.percent)
        for table in tables
        if isinstance(table, WorkingTimeTable)
        for point in table.points
    }
    return sorted(found)[:MOST_POINTS]


def table_lines(found: WhatIf, width: int) -> list[Line]:
    """Return a table of what each supposition comes to, then what it says."""
    room = max(LEAST_NAME, min(28, width - sum(COLUMNS)))
    heads = ("a shift", "hands", "a casting")
    lines = [_row("Castings", heads, room, bold=True)]
    for row in found.rows:
        cost = "-"
        if row.cost_per_casting is not None:
            cost = f"{row.cost_per_casting:.2f} {found.currency}"
        cells = (f"{row.castings_per_shift:.1f}", f"{row.hands_used:.0%}", cost)
        lines.append(_row(row.name, cells, room, bold=row.name == AS_IT_IS))
    lines.append(line())
    for sentence in found.sentences:
        lines += [line(part) for part in wrap_text(sentence, max(20, width))]
    return lines


def _row(name: str, cells: Sequence[str], room: int, *, bold: bool) -> Line:
    text = f"{name[:room]:<{room}}"
    for cell, wide in zip(cells, COLUMNS, strict=True):
        text += f"{cell:>{wide}}"
    return Line((Span(text, "bold" if bold else "plain"),))


def bars_of(found: WhatIf, axis: Axis) -> list[tuple[str, float, float | None]]:
    """Return of each row its label along the axis, its castings a shift and the cost of one.

    The shop as it is stands among the others by what it has, or first where it has no such number.
    """
    rows = []
    for place, row in enumerate(found.rows):
        value = getattr(row, axis)
        label = "as is" if value is None else f"{value:g}"
        order = (-1.0 if value is None else float(value), place)
        rows.append((order, (label, row.castings_per_shift, row.cost_per_casting)))
    return [bar for _, bar in sorted(rows, key=lambda entry: entry[0])]
