"""The report on molds as lines of text, no wider than a terminal of 80 columns."""

from __future__ import annotations

from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from floorboard.usecases.columns import table, wrapped

if TYPE_CHECKING:
    from collections.abc import Iterator

    from floorboard.records.mold_report_model import MoldLine, MoldReport
    from floorboard.shop.shop import Shop

WIDTH = 80


def mold_report_lines(report: MoldReport, shop: Shop) -> Iterator[str]:
    """Yield the report for a person to read: what is to be done, then every mold."""
    for sentence in report.sentences or ("No mold asks for anything.",):
        yield from wrapped(sentence, WIDTH)
    yield ""
    head = "mold|pulls|since care|wear rejects|left|a day|order by|state"
    yield from table(head.split("|"), [_row(line) for line in report.molds], WIDTH)
    lives = [line for line in report.molds if line.method != "unknown" and line.in_service]
    if lives:
        yield ""
        for line in lives:
            yield from wrapped(line.sentence, WIDTH)
    if report.demand:
        yield ""
        for demand in report.demand:
            if demand.short_before is None:
                yield from wrapped(demand.sentence, WIDTH)
    notes = [(line, note) for line in report.molds for note in line.notes]
    if notes:
        yield ""
    zone = ZoneInfo(shop.shop.zone)
    for line, note in notes:
        text = f"{note.at.astimezone(zone):%Y-%m-%d} mold {line.number or line.mold}: {note.what}"
        yield from wrapped(f"{text} {note.note}".rstrip(), WIDTH)


def _row(line: MoldLine) -> list[str]:
    care = str(line.pulls_since_care) + (f" of {line.care_every}" if line.care_every else "")
    state = "out" if not line.in_service else "care due" if line.care_due else "in service"
    return [
        f"mold {line.number if line.number is not None else line.mold} ({line.piece})",
        str(line.pulls),
        care,
        str(line.rejects_for_wear),
        "-" if line.pulls_left is None else str(line.pulls_left),
        f"{line.pulls_a_day:.1f}",
        "-" if line.order_by is None else f"{line.order_by}",
        state,
    ]
