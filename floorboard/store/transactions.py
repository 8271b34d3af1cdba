"""One connection at work: who may read and write when, and the floor as it was last seen."""

from __future__ import annotations

import threading
from contextlib import contextmanager
from typing import TYPE_CHECKING, Self

from floorboard.store import event_log, read_tables, shelf
from floorboard.store.errors import ReadOnlyDatabase, sensible, told
from floorboard.store.place_check import PlaceCheck

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Iterator
    from pathlib import Path

    from floorboard.store.ledger import Ledger


class Transactions:
    """A connection that any thread may use, one at a time."""

    def __init__(self, path: Path, connection: sqlite3.Connection, *, read_only: bool) -> None:
        self.path = path
        self.read_only = read_only
        self._connection = connection
        self._place = PlaceCheck(path, with_log=not read_only)
        self._builds = shelf.BuildShelf(connection)
        self._lock = threading.RLock()
        self._ledger: Ledger | None = None
        self._seen: tuple[int, int] = (-1, 0)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the database."""
        with self._lock, told(self.path):
            self._connection.close()

    @contextmanager
    def filling(self) -> Iterator[None]:
        """Fill a new database quickly: what a power cut takes meanwhile can be filled in again.

        Entries are durable, and acknowledged ones are safe, only once the block is left.
        """
        with self._lock, told(self.path):
            self._connection.execute("PRAGMA synchronous=OFF")
        try:
            yield
        finally:
            with self._lock, told(self.path):
                self._connection.execute("PRAGMA synchronous=FULL")
                # The checkpoint syncs the file itself.
                self._connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")

    @contextmanager
    def _reading(self) -> Iterator[sqlite3.Connection]:
        with self._lock, told(self.path):
            yield self._connection

    @contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        """Hold the write lock; what is raised inside undoes all."""
        if self.read_only:
            raise ReadOnlyDatabase(f"{self.path} was opened for reading; nothing can be logged.")
        with self._lock, told(self.path):
            self._place.check()
            connection = self._connection
            connection.execute("BEGIN IMMEDIATE")
            try:
                yield connection
                connection.execute("COMMIT")
            except BaseException:
                if connection.in_transaction:
                    connection.execute("ROLLBACK")
                raise
            # Only what is in the file that others read may be acknowledged.
            self._place.check()

    def _current(self, connection: sqlite3.Connection) -> Ledger:
        """Return the floor as of the transaction's snapshot; every change adds an entry."""
        last = event_log.last_seq(connection)
        if self._ledger is None or self._ledger.floor.last_seq != last:
            with sensible(self.path):
                self._ledger = read_tables.load_ledger(connection, self._builds)
            self._seen = (-1, 0)
        return self._ledger

    def _adopt(self, ledger: Ledger) -> None:
        """Go on from a floor just committed, unless another thread has gone further since."""
        with self._lock:
            if self._ledger is None or ledger.floor.last_seq > self._ledger.floor.last_seq:
                self._ledger = ledger
            self._seen = self._seen[0], max(self._seen[1], ledger.floor.last_seq)
