"""A strike far back, worked out beside the database so that other stations go on meanwhile.

Folding years again takes long, and what comes of it differs in a few rows. So the fold is done in
a private copy, without the write lock; entries logged meanwhile are folded on there; and only the
rows that differ are carried over, in the short transaction that logs the strike.
"""

from __future__ import annotations

import sqlite3
from contextlib import contextmanager
from functools import partial
from typing import TYPE_CHECKING, Any

from floorboard.floor import events as e
from floorboard.store import event_log, read_tables, shelf, write_tables
from floorboard.store.connect import connect
from floorboard.store.errors import sensible
from floorboard.store.strike import fold_again
from floorboard.store.take_in import Dirty, take_in

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

    from floorboard.shop.build import Build

# The copy only needs to know that the entry is struck; the strike has no number yet.
_YET_TO_COME = 2**53
# Few enough to be folded on while the write lock is held.
_FEW = 20
_SMALL_TABLES = ("molds", "away", "conditions")


class OvertakenError(Exception):
    """Another entry was struck meanwhile, so the copy says nothing of how things stand now."""


class CopyFailed(Exception):
    """The copy could not be made, written or read; the database itself may be sound."""


@contextmanager
def _of_the_copy() -> Iterator[None]:
    """Tell what goes wrong with the copy from what goes wrong with the database."""
    try:
        yield
    except sqlite3.Error as error:
        raise CopyFailed(str(error)) from error


@contextmanager
def beside(path: Path, seq: int) -> Iterator[Beside]:
    """Yield a copy of the database in which entry `seq` is struck, caught up with the log.

    Raises
    ------
    OvertakenError
        If another strike was logged meanwhile.
    CopyFailed
        If the copy found no room, or could not be made, written or read for another reason.
    """
    # Without a name it is a file that is gone with the connection; uri, for attaching by one.
    with _of_the_copy():
        copy = sqlite3.connect("", uri=True, isolation_level=None, check_same_thread=False)
    live = None
    try:
        live = connect(path, read_only=True)
        with _of_the_copy():
            live.backup(copy)
            copy.execute("PRAGMA synchronous = OFF")
            copy.execute("PRAGMA journal_mode = MEMORY")
            copy.execute("ATTACH ? AS live", (f"{path.absolute().as_uri()}?mode=ro",))
            made = Beside(path, copy, live, seq)
        yield made
    finally:
        copy.close()
        if live is not None:
            live.close()


class Beside:
    """The copy: what the tables are to say once the strike is logged."""

    def __init__(
        self, path: Path, copy: sqlite3.Connection, live: sqlite3.Connection, seq: int
    ) -> None:
        self._copy = copy
        self._builds: Mapping[str, Build] = shelf.BuildShelf(copy)
        self._dirty = Dirty()
        self._seqs: set[int] = set()
        self._copied = self._seen = event_log.last_seq(copy)
        copy.execute("BEGIN")
        with sensible(path):
            before = read_tables.load_ledger(copy, self._builds)
        event_log.set_struck(copy, seq, _YET_TO_COME)
        self._ledger = fold_again(copy, seq, before, self._builds)
        copy.execute("COMMIT")
        while self.catch_up(live) > _FEW:
            pass
        self._compare(seq)

    def catch_up(self, live: sqlite3.Connection) -> int:
        """Fold on what was logged meanwhile; return how many entries that were.

        Raises
        ------
        OvertakenError, CopyFailed
        """
        with _of_the_copy():
            return self._catch_up(live)

    def _catch_up(self, live: sqlite3.Connection) -> int:
        copy, ledger, dirty = self._copy, self._ledger, Dirty()
        balance = partial(read_tables.balance, copy)
        count = 0
        copy.execute("BEGIN")
        for entry in event_log.since(live, self._seen + 1):
            if isinstance(entry.event, e.EntryStruck):
                copy.execute("ROLLBACK")
                raise OvertakenError
            if count == 0:
                builds = live.execute("SELECT digest, json FROM builds")
                copy.executemany("INSERT OR IGNORE INTO builds VALUES (?, ?)", builds)
            event = entry.event
            event_log.insert(copy, entry, event.touched_castings(), about=event)
            read_tables.load_touched(copy, ledger, [event], self._builds)
            write_tables.write_rows(
                copy, entry, take_in(ledger, entry, self._builds, balance, dirty)
            )
            self._seqs.add(entry.seq)
            self._seen, count = entry.seq, count + 1
        write_tables.write_state(copy, ledger, dirty, None)
        copy.execute("COMMIT")
        self._dirty.castings |= dirty.castings
        self._dirty.batches |= dirty.batches
        return count

    def _compare(self, seq: int) -> None:
        """Note which rows of the tables are not as they are in the database."""
        for table in write_tables.ROW_TABLES:
            within = f"WHERE seq BETWEEN {seq} AND {self._copied}"
            self._seqs |= {key for (key,) in self._differing(table, "seq", within)}
        self._dirty.castings |= {key for (key,) in self._differing("castings", "serial")}
        self._dirty.batches |= {key for (key,) in self._differing("batches", "serial")}

    def _differing(self, table: str, key: str, within: str = "") -> sqlite3.Cursor:
        here, there = (f"SELECT * FROM {base}.{table} {within}" for base in ("main", "live"))
        return self._copy.execute(
            f"SELECT {key} FROM ({here} EXCEPT {there})"
            f" UNION SELECT {key} FROM ({there} EXCEPT {here})"
        )

    def carry_over(self, connection: sqlite3.Connection) -> None:
        """Write the rows that differ; inside the caller's transaction, caught up with its log.

        Raises
        ------
        CopyFailed
        """
        for table in write_tables.ROW_TABLES:
            self._carry(connection, table, "seq", self._seqs)
        self._carry(connection, "castings", "serial", self._dirty.castings)
        self._carry(connection, "batches", "serial", self._dirty.batches)
        for table in _SMALL_TABLES:
            connection.execute(f"DELETE FROM {table}")
            self._insert(connection, table, self._rows(f"SELECT * FROM {table}"))

    def _carry(
        self, connection: sqlite3.Connection, table: str, key: str, names: set[int] | set[str]
    ) -> None:
        for name in names:
            connection.execute(f"DELETE FROM {table} WHERE {key} = ?", (name,))
            rows = self._rows(f"SELECT * FROM {table} WHERE {key} = ?", name)
            self._insert(connection, table, rows)

    def _rows(self, sql: str, *values: int | str) -> list[tuple[Any, ...]]:
        with _of_the_copy():
            return self._copy.execute(sql, values).fetchall()

    @staticmethod
    def _insert(connection: sqlite3.Connection, table: str, rows: list[tuple[Any, ...]]) -> None:
        if not rows:
            return
        marks = ", ".join("?" * len(rows[0]))
        connection.executemany(f"INSERT INTO {table} VALUES ({marks})", rows)
