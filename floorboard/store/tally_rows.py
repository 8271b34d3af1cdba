"""The queries behind the tally, over the tables kept beside the log."""

from __future__ import annotations

import datetime as dt
import json
from typing import TYPE_CHECKING, Any

from floorboard.floor import history_rows as h
from floorboard.store.event_log import STANDING
from floorboard.store.moments import from_text, to_text

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Iterator, Sequence

CASTING_COLUMNS = (
    "serial, mold, piece, order_id, build, begun_at, json_extract(state, '$.begun_by'),"
    " demolded_at, json_extract(state, '$.demold_by'), finished_at, rejected_at, reason,"
    " reject_layer, reject_step, rework, json_extract(state, '$.sent_back_at'), flags"
)
# The kinds of entries of which the log is asked how many there are; each makes one of a count.
# With the column of a casting that it sets.
COUNTED_KINDS = {
    "casting begun": "begun_at",
    "demolded": "demolded_at",
    "casting rejected": "rejected_at",
}
# Flags on entries that were taken for nothing.
_NOT_TAKEN = ("twice", "unknown")
_AT_ONCE = 500
# What was weighed in a stretch, and a little after it into batches begun in it.
_WEIGHED = "weighings WHERE at >= :start AND at < :late"
_LONGEST_WEIGHING = dt.timedelta(hours=12)


def casting_row(row: Sequence[Any]) -> h.CastingRow:
    """Return a casting from its columns."""
    serial, mold, piece, order, build, begun, by, demolded, demolded_by, *rest = row
    finished, rejected, reason, layer, step, rework, sent_back, flags = rest

    def at(text: str | None) -> dt.datetime | None:
        return None if text is None else from_text(max(text, begun))

    return h.CastingRow(
        serial, mold, piece, order, build, from_text(begun), by, at(demolded), demolded_by,
        at(finished), at(rejected), reason, layer, step, rework, at(sent_back), flags,
    )  # fmt: skip


def castings(
    connection: sqlite3.Connection, start: dt.datetime, end: dt.datetime, order: str | None = None
) -> list[h.CastingRow]:
    """Return the castings begun before `end` that had not ended before `start`."""
    # A casting may be rejected after it was finished: it ended with the later of the two. Which
    # they are is found in the index alone, for rows are long.
    sql = (
        f"SELECT {CASTING_COLUMNS} FROM castings WHERE rowid IN ("
        " SELECT rowid FROM castings INDEXED BY castings_span WHERE begun_at < :end AND"
        " (closed = 0 OR begun_at >= :start OR finished_at >= :start OR rejected_at >= :start))"
    )
    if order is not None:
        sql += " AND order_id = :order"
    values = {"start": to_text(start), "end": to_text(end), "order": order}
    rows = connection.execute(f"{sql} ORDER BY begun_at, serial", values)
    return [casting_row(row) for row in rows]


def works(connection: sqlite3.Connection, start: dt.datetime, end: dt.datetime) -> list[h.WorkRow]:
    """Return the tasks that ended in `[start, end)`."""
    sql = (
        "SELECT kind, casting, number, step_kind, piece, mold, person, begun_at, ended_at,"
        " shared_by, mix FROM works WHERE ended_at >= ? AND ended_at < ? ORDER BY ended_at"
    )
    rows = connection.execute(sql, (to_text(start), to_text(end)))
    at = dt.datetime.fromisoformat
    return [
        h.WorkRow(a, b, c, d, e, f, g, None if begun is None else at(begun), at(ended), i, j)
        for a, b, c, d, e, f, g, begun, ended, i, j in rows
    ]


def reworks(
    connection: sqlite3.Connection, start: dt.datetime, end: dt.datetime
) -> list[h.ReworkRow]:
    """Return the castings sent back in `[start, end)`."""
    sql = (
        "SELECT seq, at, data, person FROM entries WHERE at >= ? AND at < ?"
        " AND kind = 'casting sent back' AND struck_by IS NULL ORDER BY at"
    )
    found = []
    for seq, at, text, person in connection.execute(sql, (to_text(start), to_text(end))):
        data = json.loads(text)
        row = h.ReworkRow(seq, from_text(at), data["casting"], data["step"], data["reason"], person)
        found.append(row)
    return found


def batches(
    connection: sqlite3.Connection, start: dt.datetime, end: dt.datetime
) -> list[h.BatchSum]:
    """Return the batches begun in `[start, end)` by mix."""
    sql = f"""
        SELECT b.mix, count(*), total(b.grams), total(b.lost_at IS NOT NULL),
            total(CASE WHEN b.lost_at IS NOT NULL THEN b.grams END), total(w.batch IS NULL)
        FROM batches b LEFT JOIN (SELECT DISTINCT batch FROM {_WEIGHED}) w ON w.batch = b.serial
        WHERE b.begun_at >= :start AND b.begun_at < :end GROUP BY b.mix ORDER BY b.mix
    """
    rows = connection.execute(sql, _bounds_with_late(start, end))
    return [
        h.BatchSum(mix, count, grams, int(lost), lost_grams, int(bare))
        for mix, count, grams, lost, lost_grams, bare in rows
    ]


def weighed_batches(
    connection: sqlite3.Connection, start: dt.datetime, end: dt.datetime
) -> list[h.WeighedSum]:
    """Return, for the batches begun in `[start, end)`, into how many grams each material went."""
    sql = f"""
        SELECT b.mix, w.material, total(b.grams)
        FROM (SELECT DISTINCT batch, material FROM {_WEIGHED}) w JOIN batches b
        ON b.serial = w.batch WHERE b.begun_at >= :start AND b.begun_at < :end
        GROUP BY b.mix, w.material
    """
    return [h.WeighedSum(*row) for row in connection.execute(sql, _bounds_with_late(start, end))]


def _bounds_with_late(start: dt.datetime, end: dt.datetime) -> dict[str, str]:
    return {"start": to_text(start), "end": to_text(end), "late": to_text(end + _LONGEST_WEIGHING)}


def materials(
    connection: sqlite3.Connection, start: dt.datetime, end: dt.datetime
) -> list[h.MaterialSum]:
    """Return what was weighed, used and wasted in `[start, end)`, by material."""
    bounds = (to_text(start), to_text(end))
    sql = (
        "SELECT material, total(target_grams), total(grams) FROM weighings"
        " WHERE at >= ? AND at < ? GROUP BY material"
    )
    weighed = {name: sums for name, *sums in connection.execute(sql, bounds)}
    sql = (
        "SELECT material, -total(CASE kind WHEN 'step' THEN grams END),"
        " -total(CASE kind WHEN 'wasted' THEN grams END) FROM stock"
        " WHERE at >= ? AND at < ? AND kind IN ('step', 'wasted') GROUP BY material"
    )
    moved = {name: sums for name, *sums in connection.execute(sql, bounds)}
    prices = _lot_prices(connection, bounds)
    return [
        h.MaterialSum(name, target, grams, step, wasted, prices.get(name))
        for name in sorted(weighed.keys() | moved.keys())
        for target, grams in (weighed.get(name, (0.0, 0.0)),)
        for step, wasted in (moved.get(name, (0.0, 0.0)),)
    ]


def _lot_prices(connection: sqlite3.Connection, bounds: tuple[str, str]) -> dict[str, float]:
    """Money a gram of the lots weighed from, by material, each lot by what was taken of it."""
    sql = "SELECT material, lot, total(grams) FROM weighings WHERE at >= ? AND at < ? AND lot <> ''"
    money: dict[str, float] = {}
    taken: dict[str, float] = {}
    for material, lot, grams in connection.execute(f"{sql} GROUP BY material, lot", bounds):
        received = connection.execute(
            "SELECT grams, cost FROM stock WHERE material = ? AND lot = ? AND kind = 'received'"
            " AND cost IS NOT NULL AND grams > 0 ORDER BY seq LIMIT 1",
            (material, lot),
        ).fetchone()
        if received is not None and grams > 0:
            money[material] = money.get(material, 0.0) + grams * received[1] / received[0]
            taken[material] = taken.get(material, 0.0) + grams
    return {material: money[material] / taken[material] for material in money}


def layers(
    connection: sqlite3.Connection, start: dt.datetime, end: dt.datetime
) -> list[h.LayerSum]:
    """Return the layers applied in `[start, end)`, by build and layer."""
    sql = (
        "SELECT c.build, w.number, count(*) FROM works w JOIN castings c ON c.serial = w.casting"
        " WHERE w.kind = 'layer' AND w.ended_at >= ? AND w.ended_at < ? GROUP BY c.build, w.number"
    )
    rows = connection.execute(sql, (to_text(start), to_text(end)))
    return [h.LayerSum(*row) for row in rows]


def presences(connection: sqlite3.Connection, before: dt.datetime) -> list[h.Presence]:
    """Return who left and came back before a moment, in order of time."""
    sql = (
        "SELECT json_extract(data, '$.who'), at, kind = 'person left' FROM entries"
        f" WHERE {STANDING} AND kind IN ('person left', 'person back') AND at < ? AND struck_by IS NULL"
        " ORDER BY at, seq"
    )
    rows = connection.execute(sql, (to_text(before),))
    return [h.Presence(who, from_text(at), bool(left)) for who, at, left in rows]


def flags(
    connection: sqlite3.Connection, start: dt.datetime, end: dt.datetime, most: int
) -> list[h.FlagRow]:
    """Return the first `most` flags on entries of `[start, end)`, in order of time."""
    sql = (
        "SELECT seq, at, casting, rule, message, seconds FROM flags"
        " WHERE at >= ? AND at < ? ORDER BY at LIMIT ?"
    )
    return [
        h.FlagRow(seq, from_text(at), *rest)
        for seq, at, *rest in connection.execute(sql, (to_text(start), to_text(end), most))
    ]


def flag_count(connection: sqlite3.Connection, start: dt.datetime, end: dt.datetime) -> int:
    """Return how many flags there are on entries of `[start, end)`."""
    sql = "SELECT count(*) FROM flags WHERE at >= ? AND at < ?"
    return int(connection.execute(sql, (to_text(start), to_text(end))).fetchone()[0])


def log_counts(
    connection: sqlite3.Connection, start: dt.datetime, end: dt.datetime
) -> list[h.LogCount]:
    """Return, for each counted kind, the entries of `[start, end)` that are not struck."""
    bounds = (to_text(start), to_text(end))
    kinds = ", ".join(f"'{kind}'" for kind in COUNTED_KINDS)
    rules = ", ".join(f"'{rule}'" for rule in _NOT_TAKEN)
    sql = (
        f"SELECT kind, count(*) FROM entries WHERE at >= ? AND at < ? AND kind IN ({kinds})"
        " AND struck_by IS NULL GROUP BY kind"
    )
    found = dict(connection.execute(sql, bounds).fetchall())
    sql = (
        "SELECT e.kind, count(DISTINCT e.seq) FROM flags f JOIN entries e ON e.seq = f.seq"
        f" WHERE f.at >= ? AND f.at < ? AND f.rule IN ({rules}) AND e.kind IN ({kinds})"
        " GROUP BY e.kind"
    )
    not_taken = dict(connection.execute(sql, bounds).fetchall())
    counts = []
    for kind, column in COUNTED_KINDS.items():
        sql = f"SELECT count(*) FROM castings WHERE {column} >= ? AND {column} < ?"
        castings_ = int(connection.execute(sql, bounds).fetchone()[0])
        counts.append(h.LogCount(kind, found.get(kind, 0), not_taken.get(kind, 0), castings_))
    return counts


def orders_known_since(connection: sqlite3.Connection) -> dict[str, dt.datetime]:
    """Return when each order first stood in the shop's definitions."""
    sql = (
        "SELECT o.key, min(e.at) FROM entries e"
        " JOIN shops s ON s.digest = json_extract(e.data, '$.digest'),"
        " json_each(s.json, '$.orders') o"
        f" WHERE {STANDING} AND e.kind = 'shop loaded' AND e.struck_by IS NULL GROUP BY o.key"
    )
    return {order: from_text(at) for order, at in connection.execute(sql)}


def shop_known_since(connection: sqlite3.Connection) -> dt.datetime | None:
    """Return when the first of the shop's definitions was loaded."""
    sql = (
        "SELECT min(at) FROM entries INDEXED BY entries_standing"
        f" WHERE {STANDING} AND kind = 'shop loaded' AND struck_by IS NULL"
    )
    (at,) = connection.execute(sql).fetchone()
    return None if at is None else from_text(at)


def finished_for_orders(
    connection: sqlite3.Connection, pieces: Sequence[str], since: dt.datetime, until: dt.datetime
) -> Iterator[h.FinishedRow]:
    """Yield the good castings that may count for an order, in the order they were finished."""
    marks = ", ".join("?" * len(pieces))
    sql = (
        "SELECT serial, piece, order_id, begun_at, finished_at FROM castings"
        " INDEXED BY castings_finished WHERE finished_at < ?"
        " AND (rejected_at IS NULL OR rejected_at >= ?)"
        f" AND (order_id IS NOT NULL OR begun_at >= ?) AND piece IN ({marks})"
        " ORDER BY finished_at"
    )
    values = (to_text(until), to_text(until), to_text(since), *pieces)
    for serial, piece, order, begun, finished in connection.execute(sql, values):
        yield h.FinishedRow(serial, piece, order, from_text(begun), from_text(finished))


def states(connection: sqlite3.Connection, serials: Sequence[str]) -> list[tuple[str, str, str]]:
    """Return (serial, build, state) of castings."""
    found: list[tuple[str, str, str]] = []
    for start in range(0, len(serials), _AT_ONCE):
        some = serials[start : start + _AT_ONCE]
        marks = ", ".join("?" * len(some))
        sql = f"SELECT serial, build, state FROM castings WHERE serial IN ({marks})"
        found += connection.execute(sql, some).fetchall()
    return found
