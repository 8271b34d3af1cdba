"""A tally as a workbook for the office: a sheet a table, numbers as numbers, times in local time."""

from __future__ import annotations

import datetime as dt
import io
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from floorboard.reports.tally_rows import tally_tables

if TYPE_CHECKING:
    from floorboard.records.tally_model import Tally
    from floorboard.reports.tally_rows import Cell, Table

# What a sheet's name may not hold, and how long it may be, by the workbook format.
_LONGEST_SHEET = 31
_WIDEST, _NARROWEST = 48, 9


def tally_xlsx(tally: Tally) -> bytes:
    """Return the workbook. Texts are written as texts: none is ever taken for a formula or link."""
    import xlsxwriter

    out = io.BytesIO()
    book = xlsxwriter.Workbook(
        out, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False}
    )
    book.set_properties({"title": f"{tally.shop}: {tally.title}"})
    formats = _formats(book)
    _front(book, tally, formats)
    for table in tally_tables(tally):
        _sheet(book, table, formats, ZoneInfo(tally.zone))
    book.close()
    return out.getvalue()


def _formats(book: Any) -> dict[str, Any]:
    return {
        "head": book.add_format({"bold": True, "bottom": 1, "text_wrap": True}),
        "title": book.add_format({"bold": True, "font_size": 14}),
        "moment": book.add_format({"num_format": "yyyy-mm-dd hh:mm"}),
        "day": book.add_format({"num_format": "yyyy-mm-dd"}),
        "share": book.add_format({"num_format": "0.0%"}),
        "amount": book.add_format({"num_format": "#,##0.0"}),
        "whole": book.add_format({"num_format": "0"}),
    }


def _front(book: Any, tally: Tally, formats: dict[str, Any]) -> None:
    """Write the first sheet: what this is of, and whether the counts reconcile."""
    sheet = book.add_worksheet("tally")
    sheet.set_column(0, 0, 90)
    sheet.write_string(0, 0, f"{tally.shop}: {tally.title}", formats["title"])
    zone = ZoneInfo(tally.zone)
    lines = [f"As of {tally.as_of.astimezone(zone):%Y-%m-%d %H:%M}, times of {tally.zone}."]
    lines += [check.sentence for check in tally.checks]
    if not tally.reconciled:
        lines.append("DOES NOT RECONCILE")
    for row, line in enumerate(lines, start=1):
        sheet.write_string(row, 0, line)


def _sheet(book: Any, table: Table, formats: dict[str, Any], zone: dt.tzinfo) -> None:
    sheet = book.add_worksheet(table.name.replace("_", " ")[:_LONGEST_SHEET])
    sheet.freeze_panes(1, 1)
    widths = [len(head) for head in table.heads]
    for column, head in enumerate(table.heads):
        sheet.write_string(0, column, head.replace("_", " "), formats["head"])
    for number, row in enumerate(table.rows, start=1):
        for column, value in enumerate(row):
            head = table.heads[column]
            if table.name == "key_figures":
                head = str(row[0])
            _write(sheet, number, column, value, head, formats, zone)
            widths[column] = max(widths[column], 16 if isinstance(value, dt.datetime) else 0)
            if isinstance(value, str):
                widths[column] = max(widths[column], len(value))
    for column, width in enumerate(widths):
        sheet.set_column(column, column, min(_WIDEST, max(_NARROWEST, width + 1)))
    if table.rows:
        sheet.autofilter(0, 0, len(table.rows), len(table.heads) - 1)


def _write(
    sheet: Any,
    row: int,
    column: int,
    value: Cell,
    head: str,
    formats: dict[str, Any],
    zone: dt.tzinfo,
) -> None:
    if value is None:
        return
    if isinstance(value, bool):
        sheet.write_boolean(row, column, value)
    elif isinstance(value, dt.datetime):
        local = value.astimezone(zone).replace(tzinfo=None)
        sheet.write_datetime(row, column, local, formats["moment"])
    elif isinstance(value, dt.date):
        sheet.write_datetime(row, column, value, formats["day"])
    elif isinstance(value, int):
        sheet.write_number(row, column, value, formats["whole"])
    elif isinstance(value, float):
        kind = "share" if head.endswith(_SHARES) or head in _SHARE_HEADS else "amount"
        sheet.write_number(row, column, value, formats[kind])
    else:
        sheet.write_string(row, column, value)


_SHARES = ("_efficiency", "_ratio", "_yield")
_SHARE_HEADS = {"share", "low", "high", "availability"}
