"""A tally as CSV: one line a value, so that any sheet or script can pick what it needs."""

from __future__ import annotations

import csv
import datetime as dt
import io
from typing import TYPE_CHECKING

from floorboard.reports.cell_text import plain_cell
from floorboard.reports.tally_rows import tally_tables

if TYPE_CHECKING:
    from floorboard.records.tally_model import Tally
    from floorboard.reports.tally_rows import Cell

HEADS = ("first_day", "last_day", "table", "item", "measure", "value")


def tally_csv(tally: Tally) -> str:
    """Return the tally as CSV (RFC 4180), UTF-8 text, no cell of which is a formula."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(HEADS)
    days = (tally.first_day.isoformat(), tally.last_day.isoformat())
    for table in tally_tables(tally):
        for row in table.rows:
            item = _text(row[0])
            for measure, value in zip(table.heads[1:] or ("note",), row[1:] or row, strict=True):
                writer.writerow((*days, table.name, item, measure, _text(value)))
    return out.getvalue()


def _text(value: Cell) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.6g}"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, dt.date):
        return value.isoformat()
    return plain_cell(value)
