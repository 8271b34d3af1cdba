"""What can go wrong with the database, each as a sentence that says what to do.

sqlite3's own exceptions never leave this package: `told` turns them into these.
"""

from __future__ import annotations

import sqlite3
from contextlib import contextmanager
from typing import TYPE_CHECKING

from floorboard.shop.errors import StoreError

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


class NoFolder(StoreError):
    """The folder the database belongs in does not exist."""


class NoDatabase(StoreError):
    """There is no database at the path."""


class NotADatabase(StoreError):
    """The file is something else."""


class NewerDatabase(StoreError):
    """The database was written by a newer floorboard."""


class DatabaseBusy(StoreError):
    """Another program holds the database."""


class ReadOnlyDatabase(StoreError):
    """The database cannot be written."""


class DamagedDatabase(StoreError):
    """Some of the database's pages do not make sense."""


class DiskFull(StoreError):
    """There is no room left to write."""


class DiskFailed(StoreError):
    """The disk refused to read or write."""


class DatabaseGone(StoreError):
    """The database file was moved, deleted or replaced while it was in use."""


class BackupFailed(StoreError):
    """A backup could not be made, is not sound, or could not be restored."""


class NoSuchEntry(StoreError):
    """The log has no entry of that number."""


class CannotStrike(StoreError):
    """The entry cannot be struck."""


class ClockAstray(StoreError):
    """The clock shows a time at which nothing can have happened."""


class IdTaken(StoreError):
    """The id of an entry was already used for something else."""


_BY_CODE: dict[int, tuple[type[StoreError], str]] = {
    sqlite3.SQLITE_BUSY: (
        DatabaseBusy,
        "{path} is held by another program. Nothing was logged; wait a moment and try again.",
    ),
    sqlite3.SQLITE_LOCKED: (
        DatabaseBusy,
        "{path} is held by another program. Nothing was logged; wait a moment and try again.",
    ),
    sqlite3.SQLITE_READONLY: (
        ReadOnlyDatabase,
        "{path} cannot be written, so nothing was logged. "
        "Give yourself the right to write the file and its folder, then try again.",
    ),
    sqlite3.SQLITE_NOTADB: (
        NotADatabase,
        "{path} is not a floorboard database. Choose another file with --database.",
    ),
    sqlite3.SQLITE_CORRUPT: (
        DamagedDatabase,
        "{path} is damaged: part of it cannot be read. "
        "Close every board and bring back the newest backup with: floorboard restore",
    ),
    sqlite3.SQLITE_FULL: (
        DiskFull,
        "The disk that holds {path} is full. Nothing was logged; "
        "free some space, then log it again.",
    ),
    sqlite3.SQLITE_IOERR: (
        DiskFailed,
        "The disk that holds {path} refused to read or write. Nothing was acknowledged; "
        "check the disk and its free space, then log it again.",
    ),
    sqlite3.SQLITE_CANTOPEN: (
        NoDatabase,
        "{path} cannot be opened. Check that the file and its folder are there and readable.",
    ),
    sqlite3.SQLITE_PERM: (
        ReadOnlyDatabase,
        "{path} may not be opened. Give yourself the right to read and write it.",
    ),
}


def in_a_sentence(error: sqlite3.Error, path: Path) -> StoreError:
    """Return the error a person can act on for one of sqlite3's."""
    # Extended codes keep the primary code in their low byte.
    code = getattr(error, "sqlite_errorcode", sqlite3.SQLITE_ERROR) & 0xFF
    kind, text = _BY_CODE.get(
        code, (StoreError, "{path} could not be used: {error}. Check it with: floorboard check")
    )
    return kind(text.format(path=path, error=error))


@contextmanager
def sensible(path: Path) -> Iterator[None]:
    """Turn what reading nonsense out of this database's tables raises into DamagedDatabase."""
    try:
        yield
    except (ValueError, KeyError, TypeError) as error:
        raise DamagedDatabase(
            f"{path} does not make sense where it says how the floor stands ({error}). "
            "Close every board, then try: floorboard check --repair"
        ) from error


@contextmanager
def told(path: Path) -> Iterator[None]:
    """Turn sqlite3's exceptions into StoreErrors about this database."""
    try:
        yield
    except sqlite3.Error as error:
        raise in_a_sentence(error, path) from error
