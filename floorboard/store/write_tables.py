"""The tables kept beside the log: writing what entries add and change."""

from __future__ import annotations

import dataclasses
import datetime as dt
from typing import TYPE_CHECKING, Any

from floorboard.store.moments import to_text, to_text_or_none
from floorboard.store.rows import BatchWeighing, Reading, StockMove, Work
from floorboard.store.state_codec import batch_to_json, casting_to_json

if TYPE_CHECKING:
    import sqlite3

    from floorboard.floor.batch import Batch
    from floorboard.floor.casting import Casting
    from floorboard.floor.events import Entry
    from floorboard.floor.floor import Floor
    from floorboard.store.ledger import BatchMark, CastingMark, Ledger
    from floorboard.store.rows import EntryRows
    from floorboard.store.take_in import Dirty

ROW_TABLES = ("works", "weighings", "stock", "readings", "flags")


def casting_columns(casting: Casting, mark: CastingMark) -> dict[str, Any]:
    """Return a casting's row, its state left out."""
    finished_at = casting.finished_at
    return {
        "serial": casting.serial,
        "mold": casting.mold,
        "piece": casting.piece_id,
        "order_id": casting.order,
        "build": mark.build,
        "begun_seq": mark.begun_seq,
        "pull_seq": mark.pull_seq,
        "begun_at": to_text(casting.begun_at),
        "readied_at": to_text_or_none(casting.readied_at),
        "first_layer_at": to_text_or_none(casting.coats[0].applied_at),
        "last_layer_at": to_text_or_none(casting.coats[-1].applied_at),
        "demolded_at": to_text_or_none(casting.demolded_at),
        "finished_at": to_text_or_none(finished_at),
        "rejected_at": to_text_or_none(casting.rejected_at),
        "reason": casting.reject_reason,
        "reject_step": mark.reject_step,
        "reject_layer": mark.reject_layer,
        "rework": casting.rework,
        "flags": len(casting.flags),
        "closed": int(casting.rejected_at is not None or finished_at is not None),
    }


def batch_columns(batch: Batch, mark: BatchMark) -> dict[str, Any]:
    """Return a batch's row, its state left out."""
    return {
        "serial": batch.serial,
        "mix": batch.mix,
        "person": batch.person,
        "grams": batch.grams,
        "begun_seq": mark.begun_seq,
        "begun_at": to_text(batch.begun_at),
        "wetted_at": to_text_or_none(batch.wetted_at),
        "made_at": to_text_or_none(mark.made_at),
        "ended_at": to_text_or_none((batch.lost_at or batch.last_at) if batch.over else None),
        "lost_at": to_text_or_none(batch.lost_at),
        "closed": int(batch.over),
    }


def forget_rows(connection: sqlite3.Connection, seq: int) -> None:
    """Delete the rows that entries from this number on added."""
    for table in ROW_TABLES:
        connection.execute(f"DELETE FROM {table} WHERE seq >= ?", (seq,))


def write_rows(connection: sqlite3.Connection, entry: Entry, rows: EntryRows) -> None:
    """Write what one entry added."""
    seq = entry.seq
    for place, work in enumerate(rows.works):
        _insert(connection, "works", Work, (seq, place), work)
    for place, move in enumerate(rows.stock):
        _insert(connection, "stock", StockMove, (seq, place), move)
    if rows.weighing is not None:
        _insert(connection, "weighings", BatchWeighing, (seq,), rows.weighing)
    if rows.reading is not None:
        _insert(connection, "readings", Reading, (seq,), rows.reading)
    for place, (casting, flag) in enumerate(rows.flags):
        connection.execute(
            "INSERT INTO flags (seq, place, casting, rule, message, seconds, at)"
            " VALUES (?, ?, ?, ?, ?, ?, ?)",
            (seq, place, casting, flag.rule, flag.message, flag.amount_seconds, to_text(entry.at)),
        )


def _insert(
    connection: sqlite3.Connection, table: str, kind: type, key: tuple[int, ...], row: Any
) -> None:
    values = [*key, *(as_column(getattr(row, name)) for name in FIELDS[kind])]
    connection.execute(_INSERTS[table], values)


def as_column(value: Any) -> Any:
    """Return a field's value as the tables hold it."""
    if isinstance(value, dt.datetime):
        return to_text(value)
    return value.isoformat() if isinstance(value, dt.date) else value


FIELDS: dict[type, tuple[str, ...]] = {
    kind: tuple(field.name for field in dataclasses.fields(kind))
    for kind in (Work, BatchWeighing, StockMove, Reading)
}
_INSERTS = {
    table: f"INSERT INTO {table} ({', '.join([*key, *FIELDS[kind]])})"
    f" VALUES ({', '.join('?' * (len(key) + len(FIELDS[kind])))})"
    for table, kind, key in (
        ("works", Work, ("seq", "place")),
        ("stock", StockMove, ("seq", "place")),
        ("weighings", BatchWeighing, ("seq",)),
        ("readings", Reading, ("seq",)),
    )
}


def write_state(
    connection: sqlite3.Connection, ledger: Ledger, dirty: Dirty, old: Ledger | None
) -> None:
    """Write what changed; of a row that stood in `old`, only the columns that differ.

    An index is touched only for a column that is written, so what stayed is left alone. What is
    dirty and no longer on the floor is deleted.
    """
    floor = ledger.floor
    for serial in dirty.castings:
        casting = floor.castings.get(serial)
        if casting is None:
            connection.execute("DELETE FROM castings WHERE serial = ?", (serial,))
            continue
        before = old.floor.castings.get(serial) if old is not None else None
        previous = casting_columns(before, old.castings[serial]) if old and before else None
        columns = casting_columns(casting, ledger.castings[serial])
        _write(connection, "castings", columns, previous, casting_to_json(casting))
    for serial in dirty.batches:
        batch = floor.batches.get(serial)
        if batch is None:
            connection.execute("DELETE FROM batches WHERE serial = ?", (serial,))
            continue
        was = old.floor.batches.get(serial) if old is not None else None
        previous = batch_columns(was, old.batches[serial]) if old and was else None
        columns = batch_columns(batch, ledger.batches[serial])
        _write(connection, "batches", columns, previous, batch_to_json(batch))
    _write_molds(connection, floor, dirty)
    _write_people_and_conditions(connection, floor, dirty)


def _write(
    connection: sqlite3.Connection,
    table: str,
    columns: dict[str, Any],
    previous: dict[str, Any] | None,
    state: str,
) -> None:
    if previous is None:
        names = [*columns, "state"]
        updates = ", ".join(f"{name} = excluded.{name}" for name in names if name != "serial")
        connection.execute(
            f"INSERT INTO {table} ({', '.join(names)}) VALUES ({', '.join('?' * len(names))})"
            f" ON CONFLICT (serial) DO UPDATE SET {updates}",
            [*columns.values(), state],
        )
        return
    changed = [name for name in columns if columns[name] != previous[name]]
    assignments = ", ".join(f"{name} = ?" for name in [*changed, "state"])
    connection.execute(
        f"UPDATE {table} SET {assignments} WHERE serial = ?",
        [*(columns[name] for name in changed), state, columns["serial"]],
    )


def _write_molds(connection: sqlite3.Connection, floor: Floor, dirty: Dirty) -> None:
    for mold in dirty.molds:
        state = floor.molds.get(mold)
        if state is None:
            connection.execute("DELETE FROM molds WHERE mold = ?", (mold,))
            continue
        connection.execute(
            "INSERT OR REPLACE INTO molds (mold, pulls, pulls_at_care, in_service, rests_until)"
            " VALUES (?, ?, ?, ?, ?)",
            (
                mold,
                state.pulls,
                state.pulls_at_care,
                None if state.in_service is None else int(state.in_service),
                to_text_or_none(state.rests_until),
            ),
        )


def _write_people_and_conditions(
    connection: sqlite3.Connection, floor: Floor, dirty: Dirty
) -> None:
    if dirty.away:
        connection.execute("DELETE FROM away")
        for person, since in floor.away.items():
            connection.execute("INSERT INTO away VALUES (?, ?)", (person, to_text(since)))
    if dirty.conditions:
        connection.execute("DELETE FROM conditions")
        if floor.conditions is not None and floor.conditions_at is not None:
            connection.execute(
                "INSERT INTO conditions VALUES (1, ?, ?)",
                (to_text(floor.conditions_at), floor.conditions.model_dump_json()),
            )
