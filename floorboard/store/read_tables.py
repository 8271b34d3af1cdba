"""The tables kept beside the log: reading the floor from them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from floorboard.floor.casting import Flag
from floorboard.floor.events import ConditionsRead
from floorboard.floor.floor import Floor, MoldState
from floorboard.store import event_log
from floorboard.store.ledger import FLOOR_FLAGS, BatchMark, CastingMark, Ledger, needed_batches
from floorboard.store.moments import from_text, from_text_or_none
from floorboard.store.state_codec import (
    batch_from_json,
    casting_from_json,
    flags_from_json,
)

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Iterable, Mapping

    from floorboard.floor.casting import Casting
    from floorboard.floor.events import AnyEvent
    from floorboard.shop.build import Build

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


def casting(
    connection: sqlite3.Connection, serial: str, builds: Mapping[str, Build]
) -> Casting | None:
    """Return one casting as its table has it."""
    row = connection.execute(
        "SELECT build, state FROM castings WHERE serial = ?", (serial,)
    ).fetchone()
    return None if row is None else casting_from_json(row[1], builds[row[0]])


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
