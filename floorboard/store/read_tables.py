"""The tables kept beside the log: reading the floor from them, writing what entries change."""

from __future__ import annotations

import dataclasses
import datetime as dt
from typing import TYPE_CHECKING, Any

from floorboard.floor.casting import Flag
from floorboard.floor.events import ConditionsRead
from floorboard.floor.floor import Floor, MoldState
from floorboard.store import event_log
from floorboard.store.ledger import BatchMark, CastingMark, Ledger, needed_batches
from floorboard.store.moments import from_text, from_text_or_none, to_text, to_text_or_none
from floorboard.store.rows import BatchWeighing, Reading, StockMove, Work
from floorboard.store.state_codec import (
    batch_from_json,
    batch_to_json,
    casting_from_json,
    casting_to_json,
    flags_from_json,
)

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Iterable, Mapping

    from floorboard.floor.batch import Batch
    from floorboard.floor.casting import Casting
    from floorboard.floor.events import AnyEvent, Entry
    from floorboard.shop.build import Build
    from floorboard.store.rows import EntryRows
    from floorboard.store.take_in import Dirty

# The floor's own flags are about entries that fit nothing; the latest are enough to show.
FLOOR_FLAGS = 200

ROW_TABLES = ("works", "weighings", "stock", "readings", "flags")
_CASTING = "serial, build, begun_seq, pull_seq, reject_step, reject_layer, state"
_BATCH = "serial, begun_seq, made_at, state"


def load_ledger(connection: sqlite3.Connection, builds: Mapping[str, Build]) -> Ledger:
    """Return the floor as the tables have it: all that is open, and the molds and people."""
    ledger = Ledger(Floor(last_seq=event_log.last_seq(connection)))
    floor = ledger.floor
    rows = connection.execute(f"SELECT {_CASTING} FROM castings WHERE closed = 0")
    _add_castings(ledger, rows, builds)
    _add_batches(ledger, connection.execute(f"SELECT {_BATCH} FROM batches WHERE closed = 0"))
    load_batches(connection, ledger, needed_batches(floor.castings.values()))
    floor.molds = load_molds(connection)
    floor.away = {
        person: from_text(since)
        for person, since in connection.execute("SELECT person, since FROM away ORDER BY since")
    }
    for at, data in connection.execute("SELECT at, data FROM conditions"):
        floor.conditions = ConditionsRead.model_validate_json(data)
        floor.conditions_at = from_text(at)
    floor.flags = load_floor_flags(connection)
    floor.last_at = event_log.latest_moment(connection)
    ledger.in_log_order()
    return ledger


def load_castings(
    connection: sqlite3.Connection,
    ledger: Ledger,
    serials: Iterable[str],
    builds: Mapping[str, Build],
) -> None:
    """Add castings the ledger lacks, with their batches, if the tables have them."""
    sql = f"SELECT {_CASTING} FROM castings WHERE serial = ?"
    for serial in serials:
        if serial not in ledger.floor.castings:
            _add_castings(ledger, connection.execute(sql, (serial,)), builds)
    load_batches(connection, ledger, needed_batches(ledger.floor.castings.values()))


def load_touched(
    connection: sqlite3.Connection,
    ledger: Ledger,
    events: Iterable[AnyEvent],
    builds: Mapping[str, Build],
) -> None:
    """Bring back from the tables what events come back to and the ledger has dropped."""
    castings = {serial for event in events for serial in event.touched_castings()}
    batches = {batch for event in events if (batch := event.touched_batch())}
    missing = castings - ledger.floor.castings.keys()
    unread = batches - ledger.floor.batches.keys()
    if missing or unread:
        load_castings(connection, ledger, missing, builds)
        load_batches(connection, ledger, unread)
        ledger.perhaps_closed |= missing | unread
        ledger.in_log_order()


def load_batches(connection: sqlite3.Connection, ledger: Ledger, serials: Iterable[str]) -> None:
    """Add batches the ledger lacks, if the tables have them."""
    sql = f"SELECT {_BATCH} FROM batches WHERE serial = ?"
    for serial in serials:
        if serial not in ledger.floor.batches:
            _add_batches(ledger, connection.execute(sql, (serial,)))


def _add_castings(
    ledger: Ledger, rows: Iterable[tuple[Any, ...]], builds: Mapping[str, Build]
) -> None:
    for serial, build, begun_seq, pull_seq, step, layer, state in rows:
        ledger.floor.castings[serial] = casting_from_json(state, builds[build])
        ledger.castings[serial] = CastingMark(begun_seq, build, pull_seq, step, layer)


def _add_batches(ledger: Ledger, rows: Iterable[tuple[Any, ...]]) -> None:
    for serial, begun_seq, made_at, state in rows:
        ledger.floor.batches[serial] = batch_from_json(state)
        ledger.batches[serial] = BatchMark(begun_seq, from_text_or_none(made_at))


def load_molds(connection: sqlite3.Connection) -> dict[str, MoldState]:
    """Return what the log says of every mold."""
    rows = connection.execute(
        "SELECT mold, pulls, pulls_at_care, in_service, rests_until FROM molds"
    )
    return {
        mold: MoldState(
            pulls,
            at_care,
            None if in_service is None else bool(in_service),
            from_text_or_none(rests),
        )
        for mold, pulls, at_care, in_service, rests in rows
    }


def pulls_before(connection: sqlite3.Connection, mold: str, seq: int) -> int:
    """Return how many castings had become pulls of a mold before entry `seq`."""
    sql = "SELECT count(*) FROM castings WHERE mold = ? AND pull_seq < ?"
    return int(connection.execute(sql, (mold, seq)).fetchone()[0])


def load_flags(connection: sqlite3.Connection, casting: str) -> list[Flag]:
    """Return a casting's flags; none if the tables do not have it."""
    row = connection.execute("SELECT state FROM castings WHERE serial = ?", (casting,)).fetchone()
    return [] if row is None else flags_from_json(row[0])


def load_floor_flags(connection: sqlite3.Connection, before: int = 2**62) -> list[Flag]:
    """Return the latest flags on entries that fit nothing, below `before`, oldest first."""
    rows = connection.execute(
        "SELECT seq, rule, message, seconds FROM flags WHERE casting IS NULL AND seq < ?"
        " ORDER BY seq DESC, place DESC LIMIT ?",
        (before, FLOOR_FLAGS),
    ).fetchall()
    return [Flag(*row) for row in reversed(rows)]


def balance(connection: sqlite3.Connection, material: str, lot: str) -> float:
    """Return how many grams of a lot the log leaves on hand."""
    sql = "SELECT total(grams) FROM stock WHERE material = ? AND lot = ?"
    return float(connection.execute(sql, (material, lot)).fetchone()[0])


def casting_columns(casting: Casting, mark: CastingMark) -> dict[str, Any]:
    """Return a casting's row, its state left out."""
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
        "finished_at": to_text_or_none(casting.finished_at),
        "rejected_at": to_text_or_none(casting.rejected_at),
        "reason": casting.reject_reason,
        "reject_step": mark.reject_step,
        "reject_layer": mark.reject_layer,
        "rework": casting.rework,
        "flags": len(casting.flags),
        "closed": int(casting.closed),
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
