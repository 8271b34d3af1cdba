"""Connections: how this program opens SQLite, and what it checks of a file beforehand.

Every connection is in autocommit mode; writers say BEGIN IMMEDIATE themselves, because a deferred
transaction that reads before it writes fails at once when another process wrote meanwhile.
"""

from __future__ import annotations

import sqlite3
import time
from typing import TYPE_CHECKING

from floorboard.store.errors import NoDatabase, NoFolder, NotADatabase, told

if TYPE_CHECKING:
    from pathlib import Path

# Marks a file as this program's: "flrb" in ASCII.
APPLICATION_ID = 0x666C7262

BUSY_SECONDS = 5.0
_HEADER = b"SQLite format 3\x00"


def connect(path: Path, *, read_only: bool = False) -> sqlite3.Connection:
    """Return a connection to the database at `path`, made if it is missing and may be written.

    Write-ahead log, every commit forced to the disk before it returns, foreign keys on, five
    seconds of patience with another writer. Usable from any thread, by one at a time.

    Raises
    ------
    floorboard.shop.errors.StoreError
        If there is no folder, no file to read, or the file is something else.
    """
    _look_at(path, must_exist=read_only)
    with told(path):
        connection = _open(path, "ro" if read_only else "rwc")
        try:
            if read_only and _needs_its_folder(connection) and _log_is_empty(path):
                connection.close()
                connection = _open(path, "ro&immutable=1")
            _prepare(connection, read_only=read_only)
        except BaseException:
            connection.close()
            raise
    return connection


def _look_at(path: Path, *, must_exist: bool) -> None:
    """Refuse what cannot be a database before SQLite touches it."""
    if not path.parent.is_dir():
        if must_exist:
            raise NoDatabase(f"There is no database at {path}. Check the path.")
        raise NoFolder(f"The folder {path.parent} does not exist. Make it, or choose another path.")
    if path.is_dir():
        raise NotADatabase(f"{path} is a folder. Give the path of a database file.")
    if not path.exists():
        if must_exist:
            raise NoDatabase(f"There is no database at {path}. Check the path.")
        if not _log_is_empty(path):
            # SQLite would throw the log away with the new database it makes.
            raise NoDatabase(
                f"There is no database at {path}, but {path.name}-wal beside it holds entries of "
                "one. Put the database back beside it, or restore a backup: floorboard restore"
            )
        return
    try:
        with path.open("rb") as file:
            head = file.read(len(_HEADER))
    except OSError as error:
        raise NoDatabase(f"{path} cannot be read ({error.strerror}). Check your rights.") from error
    if head and head != _HEADER:
        raise NotADatabase(
            f"{path} is not a floorboard database. Choose another file with --database."
        )


def _open(path: Path, mode: str) -> sqlite3.Connection:
    return sqlite3.connect(
        f"{path.absolute().as_uri()}?mode={mode}",
        uri=True,
        timeout=BUSY_SECONDS,
        isolation_level=None,
        check_same_thread=False,
        cached_statements=256,
    )


def _needs_its_folder(connection: sqlite3.Connection) -> bool:
    """Whether a read fails only because the folder takes no shared-memory file beside it."""
    try:
        connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
    except sqlite3.OperationalError as error:
        return (error.sqlite_errorcode & 0xFF) in {sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_READONLY}
    return False


def _log_is_empty(path: Path) -> bool:
    """Whether the database file alone holds all there is, so that it can be read without its log."""
    log = path.with_name(path.name + "-wal")
    return not log.exists() or log.stat().st_size == 0


def _prepare(connection: sqlite3.Connection, *, read_only: bool) -> None:
    connection.execute("PRAGMA foreign_keys = ON")
    if read_only:
        return
    # A trigger that refuses deletion must also see the deletion that INSERT OR REPLACE implies.
    connection.execute("PRAGMA recursive_triggers = ON")
    connection.execute("PRAGMA synchronous = FULL")
    _ensure_wal(connection)


def _ensure_wal(connection: sqlite3.Connection) -> None:
    """Switch to the write-ahead log.

    Several processes that open a fresh file together get "locked" here at once, whatever the busy
    timeout says, so the waiting is done by hand.
    """
    deadline = time.monotonic() + 2 * BUSY_SECONDS
    while True:
        try:
            if connection.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
                connection.execute("PRAGMA journal_mode = WAL").fetchone()
        except sqlite3.OperationalError as error:
            busy = (error.sqlite_errorcode & 0xFF) in {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}
            if not busy or time.monotonic() > deadline:
                raise
            time.sleep(0.02)
        else:
            return
