"""The log's own tables: writing entries and reading them. All SQL on `entries` is here."""

from __future__ import annotations

import secrets
from typing import TYPE_CHECKING, Any

from floorboard.floor.event_fields import countable
from floorboard.floor.events import AnyEvent, Entry
from floorboard.store.errors import ClockAstray
from floorboard.store.event_codec import VERSIONS, UnreadableEntry, checksum, decode, encode
from floorboard.store.moments import UTC, from_text, to_text

if TYPE_CHECKING:
    import datetime as dt
    import sqlite3
    from collections.abc import Callable, Iterable, Iterator, Sequence

COLUMNS = "seq, id, at, logged_at, person, station, kind, version, data, struck_by"
_INSERT = (
    "INSERT INTO entries (seq, id, at, logged_at, kind, version, person, station, data,"
    " batch, mold, checksum) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"
)
_LINK = "INSERT INTO entry_castings (casting, seq) VALUES (?, ?)"
# The condition of the index `entries_standing`, word for word: a partial index is used only where
# its condition is part of the query.
STANDING = (
    "kind IN ('mold taken out', 'mold put back', 'mold cared for', 'mold rested',"
    " 'person left', 'person back', 'conditions read', 'shop loaded')"
)
# SQLite takes so many parameters in one statement at least (3.32 and later: 32766).
_AT_ONCE = 500


def new_id(logged_at: dt.datetime) -> str:
    """Return an id no one else will make; those made later sort later, which keeps inserts quick."""
    microseconds = int(logged_at.timestamp() * 1_000_000)
    return f"{microseconds & (2**56 - 1):014x}{secrets.token_hex(9)}"


def insert(
    connection: sqlite3.Connection, entry: Entry, castings: Iterable[str], about: AnyEvent
) -> None:
    """Write one entry.

    Parameters
    ----------
    castings, about
        The castings it is filed under, and the event whose batch and mold it is filed under: its
        own, or for a strike those of the entry it strikes.
    """
    event, data = entry.event, encode(entry.event)
    at, logged_at, version = to_text(entry.at), to_text(entry.logged_at), VERSIONS[event.kind]
    total = checksum(
        entry.seq, entry.id, at, logged_at, event.kind, version, entry.person, entry.station, data
    )
    connection.execute(
        _INSERT,
        (
            entry.seq,
            entry.id,
            at,
            logged_at,
            event.kind,
            version,
            entry.person,
            entry.station,
            data,
            about.touched_batch(),
            about.touched_mold(),
            total,
        ),
    )
    for casting in dict.fromkeys(castings):
        connection.execute(_LINK, (casting, entry.seq))


def entry_of(row: Sequence[Any]) -> Entry:
    """Return an entry from a row of `COLUMNS`.

    Raises
    ------
    floorboard.store.event_codec.UnreadableEntry
    """
    return _entry(row, Entry)


def _entry(row: Sequence[Any], make: Callable[..., Entry]) -> Entry:
    seq, id_, at, logged_at, person, station, kind, version, data, struck_by = row
    try:
        return make(
            seq=seq,
            id=id_,
            at=from_text(at),
            logged_at=from_text(logged_at),
            person=person,
            station=station,
            event=decode(kind, version, data),
            struck_by=struck_by,
        )
    except UnreadableEntry as error:
        raise UnreadableEntry(error.why, seq=seq, advice=error.advice) from error
    except ValueError as error:
        raise UnreadableEntry(str(error), seq=seq) from error


def new_entry(
    seq: int,
    id_: str,
    at: dt.datetime,
    event: AnyEvent,
    *,
    logged_at: dt.datetime,
    person: str | None,
    station: str,
) -> Entry:
    """Return an entry about to be written, its times in UTC.

    Raises
    ------
    ClockAstray
        If a time is so far off that only a clock without a battery can have told it.
    """
    for moment in (at, logged_at):
        try:
            countable(moment)
        except ValueError:
            raise ClockAstray(
                f"This machine's clock shows the year {moment.year}. Nothing was logged; "
                "set the clock, then log it again."
            ) from None
    return Entry(
        seq=seq,
        id=id_,
        at=at.astimezone(UTC),
        logged_at=logged_at.astimezone(UTC),
        person=person,
        station=station,
        event=event,
    )


def last_seq(connection: sqlite3.Connection) -> int:
    """Return the number of the last entry, 0 in an empty log."""
    found = connection.execute("SELECT max(seq) FROM entries").fetchone()[0]
    return int(found or 0)


def by_seq(connection: sqlite3.Connection, seq: int) -> Entry | None:
    """Return the entry of that number."""
    return _one(connection, f"SELECT {COLUMNS} FROM entries WHERE seq = ?", (seq,))


def by_id(connection: sqlite3.Connection, id_: str) -> Entry | None:
    """Return the entry of that id."""
    return _one(connection, f"SELECT {COLUMNS} FROM entries WHERE id = ?", (id_,))


def _one(connection: sqlite3.Connection, sql: str, values: tuple[Any, ...]) -> Entry | None:
    row = connection.execute(sql, values).fetchone()
    return None if row is None else entry_of(row)


def since(connection: sqlite3.Connection, seq: int) -> Iterator[Entry]:
    """Yield the entries from this number on."""
    sql = f"SELECT {COLUMNS} FROM entries WHERE seq >= ? ORDER BY seq"
    for row in connection.execute(sql, (seq,)):
        yield entry_of(row)


def every(connection: sqlite3.Connection) -> Iterator[Entry]:
    """Yield the whole log in its order."""
    for row in connection.execute(f"SELECT {COLUMNS} FROM entries ORDER BY seq"):
        yield entry_of(row)


def between(
    connection: sqlite3.Connection, start: dt.datetime, end: dt.datetime
) -> Iterator[Entry]:
    """Yield the entries that happened in `[start, end)`, in order of the log."""
    sql = f"SELECT {COLUMNS} FROM entries WHERE at >= ? AND at < ? ORDER BY seq"
    for row in connection.execute(sql, (to_text(start), to_text(end))):
        yield entry_of(row)


def latest(connection: sqlite3.Connection, limit: int, before: int | None) -> list[Entry]:
    """Return the latest entries, newest first."""
    sql = f"SELECT {COLUMNS} FROM entries WHERE seq < ? ORDER BY seq DESC LIMIT ?"
    bound = before if before is not None else 2**62
    return [entry_of(row) for row in connection.execute(sql, (bound, limit))]


def of_casting(connection: sqlite3.Connection, casting: str) -> list[Entry]:
    """Return every entry filed under a casting, in order of the log."""
    sql = (
        f"SELECT {COLUMNS} FROM entries WHERE seq IN"
        " (SELECT seq FROM entry_castings WHERE casting = ?) ORDER BY seq"
    )
    return [entry_of(row) for row in connection.execute(sql, (casting,))]


def of_castings_before(
    connection: sqlite3.Connection, castings: Iterable[str], moment: dt.datetime
) -> dict[str, list[Entry]]:
    """Return what happened to castings before a moment and counts, by casting, in order of the log.

    Entries are not looked at twice as `entry_of` does: what the log holds was looked at when it
    was written, and their events are here, too.
    """
    found: dict[str, list[Entry]] = {}
    known: dict[int, Entry] = {}
    before = to_text(moment)
    for some in _chunks(list(dict.fromkeys(castings))):
        marks = ", ".join("?" * len(some))
        sql = (
            f"SELECT c.casting, {', '.join(f'e.{name}' for name in COLUMNS.split(', '))}"
            " FROM entry_castings c CROSS JOIN entries e ON e.seq = c.seq"
            f" WHERE c.casting IN ({marks}) AND e.at < ? AND e.struck_by IS NULL"
            " ORDER BY c.casting, c.seq"
        )
        for casting, *row in connection.execute(sql, (*some, before)):
            if row[0] not in known:
                known[row[0]] = _entry(row, Entry.model_construct)
            found.setdefault(casting, []).append(known[row[0]])
    return found


def of_batch(connection: sqlite3.Connection, batch: str) -> list[Entry]:
    """Return the entries filed under a batch that count, in order of the log."""
    sql = f"SELECT {COLUMNS} FROM entries WHERE batch = ? AND struck_by IS NULL ORDER BY seq"
    return [entry_of(row) for row in connection.execute(sql, (batch,))]


def struck_since(connection: sqlite3.Connection, seq: int) -> bool:
    """Return whether any entry after this number strikes another."""
    sql = "SELECT 1 FROM entries WHERE seq > ? AND kind = 'entry struck' LIMIT 1"
    return connection.execute(sql, (seq,)).fetchone() is not None


def castings_poured(connection: sqlite3.Connection, batches: Iterable[str]) -> list[str]:
    """Return the castings with a layer of any of these batches, in order of the log."""
    found: dict[int, str] = {}
    for some in _chunks(sorted(batches)):
        marks = ", ".join("?" * len(some))
        sql = (
            "SELECT seq, json_extract(data, '$.casting') FROM entries"
            f" WHERE batch IN ({marks}) AND kind IN ('layer begun', 'layer applied')"
            " AND struck_by IS NULL"
        )
        found |= dict(connection.execute(sql, some))
    return list(dict.fromkeys(found[seq] for seq in sorted(found)))


def batches_poured(connection: sqlite3.Connection, casting: str) -> list[str]:
    """Return the batches a casting has a layer of, in order of the log."""
    sql = (
        "SELECT batch FROM entries WHERE seq IN"
        " (SELECT seq FROM entry_castings WHERE casting = ?)"
        " AND kind IN ('layer begun', 'layer applied') AND batch IS NOT NULL"
        " AND struck_by IS NULL ORDER BY seq"
    )
    return list(dict.fromkeys(batch for (batch,) in connection.execute(sql, (casting,))))


def is_filed(connection: sqlite3.Connection, casting: str, seq: int) -> bool:
    """Return whether an entry is filed under a casting."""
    sql = "SELECT 1 FROM entry_castings WHERE casting = ? AND seq = ?"
    return connection.execute(sql, (casting, seq)).fetchone() is not None


def filed_under(
    connection: sqlite3.Connection, castings: Iterable[str], batches: Iterable[str], before: int
) -> list[Entry]:
    """Return the entries below `before` that count, filed under any of these; in order."""
    found: set[int] = set()
    for names, sql in (
        (castings, "SELECT seq FROM entry_castings WHERE casting IN ({}) AND seq < ?"),
        (batches, "SELECT seq FROM entries WHERE batch IN ({}) AND seq < ?"),
    ):
        for some in _chunks(sorted(names)):
            marks = ", ".join("?" * len(some))
            found |= {seq for (seq,) in connection.execute(sql.format(marks), (*some, before))}
    entries = []
    for some_seqs in _chunks(sorted(found)):
        marks = ", ".join("?" * len(some_seqs))
        sql = f"SELECT {COLUMNS} FROM entries WHERE seq IN ({marks}) AND struck_by IS NULL ORDER BY seq"
        entries += [entry_of(row) for row in connection.execute(sql, some_seqs)]
    return entries


def castings_of_batches(connection: sqlite3.Connection, batches: Iterable[str]) -> set[str]:
    """Return the castings named by any entry filed under these batches."""
    found: set[str] = set()
    for some in _chunks(sorted(batches)):
        marks = ", ".join("?" * len(some))
        sql = f"SELECT kind, version, data FROM entries WHERE batch IN ({marks})"
        for row in connection.execute(sql, some):
            found |= set(decode(*row).touched_castings())
    return found


def batches_of_castings(connection: sqlite3.Connection, castings: Iterable[str]) -> set[str]:
    """Return the batches named by any entry filed under these castings."""
    found: set[str] = set()
    for some in _chunks(sorted(castings)):
        marks = ", ".join("?" * len(some))
        sql = (
            "SELECT DISTINCT batch FROM entries WHERE batch IS NOT NULL AND seq IN"
            f" (SELECT seq FROM entry_castings WHERE casting IN ({marks}))"
        )
        found |= {batch for (batch,) in connection.execute(sql, some)}
    return found


def of_kinds(
    connection: sqlite3.Connection, kinds: Sequence[str], before: int, mold: str | None = None
) -> list[Entry]:
    """Return the entries of some rare kinds below `before` that count, in order.

    Only for the kinds of the index `entries_standing`.
    """
    marks = ", ".join("?" * len(kinds))
    sql = (
        f"SELECT {COLUMNS} FROM entries INDEXED BY entries_standing WHERE {STANDING}"
        f" AND kind IN ({marks}) AND seq < ? AND struck_by IS NULL"
    )
    values: tuple[Any, ...] = (*kinds, before)
    if mold is not None:
        sql += " AND mold = ?"
        values = (*values, mold)
    return [entry_of(row) for row in connection.execute(f"{sql} ORDER BY seq", values)]


def latest_moment(connection: sqlite3.Connection, before: int | None = None) -> dt.datetime | None:
    """Return the latest moment of any entry that counts, below `before` if given."""
    if before is None:
        sql = "SELECT at FROM entries WHERE struck_by IS NULL ORDER BY at DESC LIMIT 1"
        row = connection.execute(sql).fetchone()
    else:
        sql = "SELECT at FROM entries WHERE struck_by IS NULL AND seq < ? ORDER BY at DESC LIMIT 1"
        row = connection.execute(sql, (before,)).fetchone()
    return None if row is None else from_text(row[0])


def set_struck(connection: sqlite3.Connection, seq: int, by: int) -> None:
    """Mark an entry as struck."""
    connection.execute("UPDATE entries SET struck_by = ? WHERE seq = ?", (by, seq))


def _chunks(names: Sequence[Any]) -> Iterator[Sequence[Any]]:
    for start in range(0, len(names), _AT_ONCE):
        yield names[start : start + _AT_ONCE]
