"""Checks of a database: quick ones at every start, and the whole log against every table.

Each returns findings, nothing found being good; none of them changes anything.
"""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from floorboard.floor import events as e
from floorboard.shop.errors import StoreError
from floorboard.store import event_log, shelf
from floorboard.store.connect import connect
from floorboard.store.event_codec import UnreadableEntry, checksum
from floorboard.store.replay import Replay

if TYPE_CHECKING:
    from collections.abc import Iterator

    from floorboard.floor.events import Entry

# Enough to see what is wrong; a damaged file can have one for every row.
MOST_FINDINGS = 200
_QUICKLY = 100

KEYS: dict[str, tuple[str, ...]] = {
    "works": ("seq", "place"),
    "stock": ("seq", "place"),
    "weighings": ("seq",),
    "readings": ("seq",),
    "flags": ("seq", "place"),
    "castings": ("serial",),
    "batches": ("serial",),
    "molds": ("mold",),
    "away": ("person",),
    "conditions": ("one",),
}


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing wrong with a database: where, and a sentence."""

    where: str
    sentence: str

    def __str__(self) -> str:
        return f"{self.where}: {self.sentence}"


def quick_check(path: str | Path) -> list[Finding]:
    """Check the file's structure and its latest entries; fractions of a second for years of log.

    On a connection of its own, so that it can run in a thread while the board paints.
    """
    return _checked(Path(path), _quick)


def verify(path: str | Path) -> list[Finding]:
    """Check everything: the file, every entry, and every row that the log should have made."""
    return _checked(Path(path), _whole)


def _checked(path: Path, check: Any) -> list[Finding]:
    try:
        connection = connect(path, read_only=True)
    except StoreError as error:
        return [Finding("file", str(error))]
    try:
        connection.execute("BEGIN")
        found: list[Finding] = []
        for finding in check(connection):
            found.append(finding)
            if len(found) == MOST_FINDINGS:
                break
        return found
    except sqlite3.DatabaseError as error:
        return [Finding("file", f"Part of the database cannot be read ({error}).")]
    finally:
        connection.close()


def _quick(connection: sqlite3.Connection) -> Iterator[Finding]:
    yield from _structure(connection, "quick_check")
    last = event_log.last_seq(connection)
    yield from _entries(connection, max(1, last - _QUICKLY))


def _whole(connection: sqlite3.Connection) -> Iterator[Finding]:
    yield from _structure(connection, "integrity_check")
    for table, row, parent, _ in connection.execute("PRAGMA foreign_key_check"):
        yield Finding(table, f"Row {row} names a row of {parent} that is not there.")
    clean = True
    for check in (_entries(connection, 1), _links(connection), _kept_whole(connection)):
        for finding in check:
            clean = False
            yield finding
    if clean:
        yield from _tables(connection)


def _structure(connection: sqlite3.Connection, pragma: str) -> Iterator[Finding]:
    for (said,) in connection.execute(f"PRAGMA {pragma}({MOST_FINDINGS})"):
        if said != "ok":
            yield Finding("file", f"{said}.")


def _entries(connection: sqlite3.Connection, start: int) -> Iterator[Finding]:
    """Check entries from number `start` on: none missing, each as it was written and readable."""
    expected = start
    sql = f"SELECT {event_log.COLUMNS}, checksum FROM entries WHERE seq >= ? ORDER BY seq"
    for *row, total in connection.execute(sql, (start,)):
        seq, id_, at, logged_at, person, station, kind, version, data, _ = row
        if seq != expected:
            yield Finding("entries", f"After entry {expected - 1} comes entry {seq}.")
        expected = seq + 1
        if checksum(seq, id_, at, logged_at, kind, version, person, station, data) != total:
            yield Finding("entries", f"Entry {seq} is not as it was written.")
            continue
        try:
            event_log.entry_of(row)
        except UnreadableEntry as error:
            yield Finding("entries", error.finding)


def _links(connection: sqlite3.Connection) -> Iterator[Finding]:
    """Check what each entry is filed under, and that strikes and struck entries agree."""
    expected = 0
    for batch, mold, *row in connection.execute(
        f"SELECT batch, mold, {event_log.COLUMNS} FROM entries ORDER BY seq"
    ):
        try:
            entry = event_log.entry_of(row)
        except StoreError:
            continue
        about = _about(connection, entry)
        if about is None:
            yield Finding("entries", f"Entry {entry.seq} and its strike do not name each other.")
            continue
        castings = set(about.touched_castings())
        expected += len(castings)
        filed = sum(event_log.is_filed(connection, name, entry.seq) for name in castings)
        if (batch, mold, filed) != (about.touched_batch(), about.touched_mold(), len(castings)):
            yield Finding("entries", f"Entry {entry.seq} is not filed under what it is about.")
    found = connection.execute("SELECT count(*) FROM entry_castings").fetchone()[0]
    if found > expected:
        yield Finding("entry_castings", "Entries are filed under castings they are not about.")


def _about(connection: sqlite3.Connection, entry: Entry) -> e.AnyEvent | None:
    """Return the event an entry is filed under; None if it and what it strikes disagree."""
    if entry.struck_by is not None:
        strike = event_log.by_seq(connection, entry.struck_by)
        if strike is None or not isinstance(strike.event, e.EntryStruck):
            return None
        return entry.event if strike.event.struck == entry.seq else None
    if not isinstance(entry.event, e.EntryStruck):
        return entry.event
    struck = event_log.by_seq(connection, entry.event.struck)
    return struck.event if struck is not None and struck.struck_by == entry.seq else None


def _kept_whole(connection: sqlite3.Connection) -> Iterator[Finding]:
    """Check that shops and builds are what their digests say."""
    for table in ("shops", "builds"):
        for digest, text in connection.execute(f"SELECT digest, json FROM {table}"):
            if shelf.digest_of(text) != digest:
                yield Finding(table, f"{digest} is not as it was written.")


def _tables(connection: sqlite3.Connection) -> Iterator[Finding]:
    replay = Replay(shelf.BuildShelf(connection))
    replay.run(event_log.every(connection))
    for table, key in KEYS.items():
        wanted = replay.tables[table]
        for row in connection.execute(f"SELECT * FROM {table}"):
            name, values = row[: len(key)], row[len(key) :]
            said = ", ".join(str(part) for part in name)
            if name not in wanted:
                yield Finding(table, f"{said} is there, but nothing in the log says so.")
            elif wanted.pop(name) != values:
                yield Finding(table, f"{said} is not what the log says.")
        for name in wanted:
            yield Finding(table, f"{', '.join(map(str, name))} is missing.")
