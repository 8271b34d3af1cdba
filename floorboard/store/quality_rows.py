"""The queries behind quality, molds and learned times."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any, Literal

from floorboard.floor import history_rows as h
from floorboard.store.event_log import STANDING
from floorboard.store.moments import from_text, to_text
from floorboard.store.tally_rows import CASTING_COLUMNS, casting_row

if TYPE_CHECKING:
    import datetime as dt
    import sqlite3


def made(connection: sqlite3.Connection, start: dt.datetime, end: dt.datetime) -> list[h.MadeRow]:
    """Return the castings demolded, finished or rejected in `[start, end)`, as they were begun."""
    sql = (
        f"SELECT json_extract(state, '$.coats'), {CASTING_COLUMNS} FROM castings WHERE"
        " (demolded_at >= :start AND demolded_at < :end)"
        " OR (finished_at >= :start AND finished_at < :end)"
        " OR (rejected_at >= :start AND rejected_at < :end) ORDER BY begun_at, serial"
    )
    rows = connection.execute(sql, {"start": to_text(start), "end": to_text(end)})
    return [h.MadeRow(casting_row(row), _coats(coats)) for coats, *row in rows]


def _coats(text: str) -> tuple[h.CoatRow, ...]:
    coats: list[list[Any]] = json.loads(text)
    return tuple(h.CoatRow(person, batch, grams) for _, _, batch, person, grams, _ in coats)


def readings(
    connection: sqlite3.Connection, start: dt.datetime, end: dt.datetime
) -> list[h.ReadingRow]:
    """Return the weights and walls read in `[start, end)`, in order of time."""
    sql = (
        "SELECT kind, casting, piece, mold, value, point, at FROM readings"
        " WHERE at >= ? AND at < ? ORDER BY at, seq"
    )
    return [
        h.ReadingRow(kind, casting, piece, mold, value, point, from_text(at))
        for kind, casting, piece, mold, value, point, at in connection.execute(
            sql, (to_text(start), to_text(end))
        )
    ]


def inspections(
    connection: sqlite3.Connection, start: dt.datetime, end: dt.datetime
) -> list[h.InspectionRow]:
    """Return the inspections of `[start, end)`, in order of time."""
    sql = (
        "SELECT seq, at, data, person FROM entries WHERE at >= ? AND at < ?"
        " AND kind = 'casting inspected' AND struck_by IS NULL ORDER BY at, seq"
    )
    found = []
    for seq, at, text, person in connection.execute(sql, (to_text(start), to_text(end))):
        event = json.loads(text)
        found.append(
            h.InspectionRow(
                seq,
                from_text(at),
                event["casting"],
                event["passed"],
                tuple(event["defects"]),
                event["layer"],
                person,
            )
        )
    return found


def lots_of_batches(
    connection: sqlite3.Connection, start: dt.datetime, end: dt.datetime
) -> dict[str, set[tuple[str, str]]]:
    """Return the (material, lot) weighed into each batch in `[start, end)`."""
    sql = (
        "SELECT DISTINCT batch, material, lot FROM weighings WHERE at >= ? AND at < ? AND lot <> ''"
    )
    found: dict[str, set[tuple[str, str]]] = {}
    for batch, material, lot in connection.execute(sql, (to_text(start), to_text(end))):
        found.setdefault(batch, set()).add((material, lot))
    return found


def air(connection: sqlite3.Connection, start: dt.datetime, end: dt.datetime) -> list[h.AirRow]:
    """Return the room's temperatures read in `[start, end)`, in order of time."""
    sql = (
        "SELECT at, json_extract(data, '$.room_celsius') AS celsius FROM entries"
        f" WHERE {STANDING} AND kind = 'conditions read' AND at >= ? AND at < ? AND struck_by IS NULL"
        " AND celsius IS NOT NULL ORDER BY at, seq"
    )
    rows = connection.execute(sql, (to_text(start), to_text(end)))
    return [h.AirRow(from_text(at), celsius) for at, celsius in rows]


def mold_events(connection: sqlite3.Connection, before: dt.datetime) -> list[h.MoldEventRow]:
    """Return what was written down about molds before a moment, in order of the log."""
    sql = (
        "SELECT seq, at, mold, kind, json_extract(data, '$.note'), json_extract(data, '$.cause')"
        f" FROM entries WHERE {STANDING} AND kind IN ('mold taken out', 'mold put back', 'mold cared for')"
        " AND at < ? AND struck_by IS NULL ORDER BY seq"
    )
    return [
        h.MoldEventRow(seq, from_text(at), mold, kind, note or "", cause)
        for seq, at, mold, kind, note, cause in connection.execute(sql, (to_text(before),))
    ]


def mold_notes(
    connection: sqlite3.Connection, start: dt.datetime, end: dt.datetime
) -> list[h.MoldEventRow]:
    """Return the notes on molds of `[start, end)`, in order of the log."""
    sql = (
        "SELECT seq, at, mold, kind, json_extract(data, '$.note') FROM entries"
        " WHERE at >= ? AND at < ? AND kind = 'noted' AND mold IS NOT NULL"
        " AND struck_by IS NULL ORDER BY seq"
    )
    rows = connection.execute(sql, (to_text(start), to_text(end)))
    return [h.MoldEventRow(seq, from_text(at), *rest) for seq, at, *rest in rows]


def pulls(connection: sqlite3.Connection) -> dict[str, tuple[int, int]]:
    """Return the pulls logged of each mold, and those at its last care."""
    rows = connection.execute("SELECT mold, pulls, pulls_at_care FROM molds")
    return {mold: (count, at_care) for mold, count, at_care in rows}


def pulls_between(
    connection: sqlite3.Connection, start: dt.datetime, end: dt.datetime
) -> dict[str, int]:
    """Return the castings whose first layer went in in `[start, end)`, by mold."""
    sql = (
        "SELECT mold, count(*) FROM castings WHERE begun_at < ? AND begun_at >= ?"
        " AND pull_seq IS NOT NULL GROUP BY mold"
    )
    return dict(connection.execute(sql, (to_text(end), to_text(start))).fetchall())


def first_begun(connection: sqlite3.Connection) -> dt.datetime | None:
    """Return when the first casting of the log was begun, if there is one."""
    (first,) = connection.execute("SELECT min(begun_at) FROM castings").fetchone()
    return None if first is None else from_text(first)


def decisions(connection: sqlite3.Connection) -> dict[str, Literal["learned", "stated"]]:
    """Return the last decision on which time to plan each task with."""
    sql = (
        "SELECT json_extract(data, '$.task'), json_extract(data, '$.use') FROM entries"
        " INDEXED BY entries_times WHERE kind = 'times decided' AND struck_by IS NULL ORDER BY seq"
    )
    return dict(connection.execute(sql).fetchall())
