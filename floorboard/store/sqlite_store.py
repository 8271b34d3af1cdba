"""The store: the shop and the log in one SQLite database.

What a key press logs is on the disk before `append` returns. Any number of processes may work on
one database; within a process a store may be used from any thread.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from floorboard.floor import events as e
from floorboard.store import event_log, read_tables, shelf
from floorboard.store.append import Stamp, log_entries
from floorboard.store.connect import connect
from floorboard.store.errors import NoDatabase, sensible, told
from floorboard.store.migrations import is_current, migrate
from floorboard.store.refusals import (
    already_logged,
    refuse_stale,
    refuse_unstrikable,
)
from floorboard.store.stock_rows import StockRows
from floorboard.store.strike import fold_again
from floorboard.store.strike_beside import CopyFailed, OvertakenError, beside
from floorboard.store.transactions import Transactions

if TYPE_CHECKING:
    import datetime as dt
    import sqlite3
    from collections.abc import Iterator, Mapping, Sequence

    from floorboard.floor.casting import Casting
    from floorboard.floor.floor import Floor
    from floorboard.shop.build import Build
    from floorboard.shop.shop import Shop
    from floorboard.store.history import History
    from floorboard.store.ledger import Ledger

# A strike that has more entries after it than this would hold up other stations if it were worked
# out with the write lock held; and it is tried so often, should others strike meanwhile.
FAR_BACK = 1000
_TRIES = 3


def open_store(path: str | Path, *, read_only: bool = False) -> SqliteStore:
    """Open the database at `path`, making or migrating it first where that is needed.

    Raises
    ------
    floorboard.shop.errors.StoreError
        In a sentence: no folder, no database, busy, read-only, damaged, or written by a newer
        version.
    """
    path = Path(path)
    connection = connect(path, read_only=read_only)
    try:
        with told(path):
            if not is_current(connection, path):
                if read_only:
                    raise NoDatabase(
                        f"{path} holds no shop of this version yet. "
                        "Open it once with the right to write."
                    )
                migrate(connection, path)
    except BaseException:
        connection.close()
        raise
    return SqliteStore(path, connection, read_only=read_only)


class SqliteStore(Transactions):
    """Keeps the shop and the log; see `floorboard.usecases.ports.Store`."""

    _shop: tuple[str, Shop] | None = None

    # Reading

    def shop(self) -> Shop | None:
        """Return the shop as last loaded, or None in an empty database."""
        with self._reading() as connection:
            digest = shelf.current_digest(connection)
            if digest is None:
                return None
            if self._shop is None or self._shop[0] != digest:
                shop = shelf.current_shop(connection)
                assert shop is not None
                self._shop = digest, shop
            return self._shop[1]

    @property
    def builds(self) -> Mapping[str, Build]:
        """The builds kept, by digest."""
        return self._builds

    def floor(self) -> Floor:
        """Return the floor as the log has it now. It is never changed afterwards."""
        with self._reading() as connection:
            connection.execute("BEGIN")
            try:
                return self._current(connection).floor
            finally:
                connection.execute("COMMIT")

    def last_seq(self) -> int:
        """Return the number of the last entry; cheap enough to ask many times a second.

        Raises
        ------
        floorboard.shop.errors.StoreError
            Also if the database was moved, deleted or replaced since it was opened.
        """
        with self._reading() as connection:
            self._place.check()
            version = connection.execute("PRAGMA data_version").fetchone()[0]
            if version != self._seen[0]:
                self._seen = version, event_log.last_seq(connection)
            return self._seen[1]

    def latest(self, limit: int = 50, before: int | None = None) -> list[e.Entry]:
        """Return the latest entries, struck ones included, newest first."""
        with self._reading() as connection:
            return event_log.latest(connection, limit, before)

    def between(self, start: dt.datetime, end: dt.datetime) -> Iterator[e.Entry]:
        """Yield the entries that happened in `[start, end)`, in order of the log.

        They are as of the first one taken, whatever is logged meanwhile.
        """
        connection = connect(self.path, read_only=True)
        try:
            with told(self.path):
                yield from event_log.between(connection, start, end)
        finally:
            connection.close()

    def of_casting(self, serial: str) -> list[e.Entry]:
        """Return every entry about a casting and every strike of one, in order of the log."""
        with self._reading() as connection:
            return event_log.of_casting(connection, serial)

    def casting(self, serial: str) -> Casting | None:
        """Return a casting as it stands, open or closed; None if the log has none."""
        with self._reading() as connection:
            return read_tables.casting(connection, serial, self._builds)

    def of_batch(self, serial: str) -> list[e.Entry]:
        """Return every entry about a batch that counts, in order of the log."""
        with self._reading() as connection:
            return event_log.of_batch(connection, serial)

    def last_good_weight(self, piece: str) -> float | None:
        """Return in grams what the casting of a piece last weighed and not rejected weighs."""
        with self._reading() as connection:
            row = connection.execute(
                "SELECT value FROM readings JOIN castings ON castings.serial = readings.casting"
                " WHERE readings.kind = 'weight' AND readings.piece = ?"
                " AND castings.rejected_at IS NULL ORDER BY readings.at DESC LIMIT 1",
                (piece,),
            ).fetchone()
            return None if row is None else float(row[0])

    @property
    def stock(self) -> StockRows:
        """What moved stock, and where it went."""
        return StockRows(self._reading)

    def history(self) -> History:
        """Return the past, to be read in a `with` block in any one thread."""
        # The records' queries are not loaded before someone asks for a tally.
        from floorboard.store.history import History

        return History(self.path)

    # Writing

    def load_shop(
        self, shop: Shop, *, source: str, at: dt.datetime, person: str | None, station: str
    ) -> e.Entry:
        """Replace the shop's definitions and log that it was done."""
        with self._writing() as connection:
            event = e.ShopLoaded(digest=shelf.keep_shop(connection, shop), source=source)
            stamp = Stamp(at, person, station)
            entries, ledger = self._log(connection, [(at, event)], stamp)
        self._adopt(ledger)
        return entries[0]

    def keep_build(self, build: Build) -> str:
        """Keep a build if it is new and return its digest."""
        digest = build.digest()
        with self._reading():
            if digest in self._builds:
                return digest
        with self._writing():
            return self._builds.keep(build)

    def append(
        self,
        happened: Sequence[tuple[dt.datetime, e.AnyEvent]],
        *,
        logged_at: dt.datetime,
        person: str | None,
        station: str,
        expected_seq: int | None = None,
        ids: Sequence[str] | None = None,
    ) -> list[e.Entry]:
        """Append entries in one transaction and return them, durable.

        Parameters
        ----------
        happened
            Moments and events. All are logged, or none.
        expected_seq
            The last entry the caller knew of.
        ids
            One for each event. An id already in the log gives the entry logged with it, so that a
            press sent twice is one entry.

        Raises
        ------
        floorboard.shop.errors.StaleFloor
            If someone else logged about the same casting, batch, mold or person after
            `expected_seq`, or a serial number was taken meanwhile.
        floorboard.shop.errors.StoreError
            If the database cannot be written; then nothing was logged.
        """
        with self._writing() as connection:
            known = already_logged(connection, happened, ids)
            fresh = [i for i in range(len(happened)) if i not in known]
            if fresh and expected_seq is not None:
                events = [happened[i][1] for i in fresh]
                refuse_stale(connection, events, expected_seq, person)
            entries, ledger = self._log(
                connection,
                [happened[i] for i in fresh],
                Stamp(logged_at, person, station),
                None if ids is None else [ids[i] for i in fresh],
            )
        self._adopt(ledger)
        new = dict(zip(fresh, entries, strict=True))
        return [known[i] if i in known else new[i] for i in range(len(happened))]

    def strike(
        self, seq: int, *, reason: str, logged_at: dt.datetime, person: str | None, station: str
    ) -> e.Entry:
        """Strike an entry: it stays readable and counts for nothing.

        Raises
        ------
        floorboard.shop.errors.StoreError
            If there is no such entry, it is a strike, or it is struck already.
        """
        stamp = Stamp(logged_at, person, station)
        if self._is_far_back(seq):
            for _ in range(_TRIES):
                try:
                    return self._strike_beside(seq, reason, stamp)
                except OvertakenError:
                    continue
                except CopyFailed:
                    # Such as where it finds no room: worked out in the database itself.
                    break
        with self._writing() as connection:
            ledger = self._current(connection)
            entry = self._log_strike(connection, seq, reason, stamp)
            ledger = fold_again(connection, seq, ledger, self._builds)
        self._adopt(ledger)
        return entry

    def new_serial(self, day: dt.date) -> str:
        """Return a casting's next serial number for a local day; no one is given it again."""
        return self._next_serial(f"{day:%y%m%d}-", "castings")

    def new_batch_serial(self, day: dt.date) -> str:
        """Return a batch's next serial number for a local day; no one is given it again."""
        return self._next_serial(f"B{day:%y%m%d}-", "batches")

    # Inside

    def _is_far_back(self, seq: int) -> bool:
        """Whether a strike is to be worked out beside the database; refuses what cannot be struck."""
        with self._reading() as connection:
            refuse_unstrikable(connection, seq)
            return not self.read_only and event_log.last_seq(connection) - seq >= FAR_BACK

    def _strike_beside(self, seq: int, reason: str, stamp: Stamp) -> e.Entry:
        with beside(self.path, seq) as copy, self._writing() as connection:
            copy.catch_up(connection)
            entry = self._log_strike(connection, seq, reason, stamp)
            copy.carry_over(connection)
            with sensible(self.path):
                ledger = read_tables.load_ledger(connection, self._builds)
        self._adopt(ledger)
        return entry

    def _log_strike(
        self, connection: sqlite3.Connection, seq: int, reason: str, stamp: Stamp
    ) -> e.Entry:
        struck = refuse_unstrikable(connection, seq)
        number = event_log.last_seq(connection) + 1
        event = e.EntryStruck(struck=seq, reason=reason)
        entry = stamp.entry(number, stamp.logged_at, event)
        castings = struck.event.touched_castings()
        event_log.insert(connection, entry, castings, about=struck.event)
        event_log.set_struck(connection, seq, number)
        return entry

    def _log(
        self,
        connection: sqlite3.Connection,
        happened: Sequence[tuple[dt.datetime, e.AnyEvent]],
        stamp: Stamp,
        ids: Sequence[str] | None = None,
    ) -> tuple[list[e.Entry], Ledger]:
        old = self._current(connection)
        return log_entries(connection, old, self._builds, happened, stamp, ids)

    def _next_serial(self, prefix: str, table: str) -> str:
        with self._writing() as connection:
            # Serials that came with an imported log were never given out here. ":" follows "9".
            (used,) = connection.execute(
                "SELECT coalesce(max(CAST(substr(serial, ?) AS INTEGER)), 0)"
                f" FROM {table} WHERE serial >= ? AND serial < ?",
                (len(prefix) + 1, prefix, f"{prefix}:"),
            ).fetchone()
            row = connection.execute(
                "INSERT INTO serials (prefix, last) VALUES (?, ?)"
                " ON CONFLICT (prefix) DO UPDATE SET last = max(last, ?) + 1 RETURNING last",
                (prefix, used + 1, used),
            ).fetchone()
            return f"{prefix}{row[0]:02d}"
