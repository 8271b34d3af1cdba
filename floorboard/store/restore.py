"""Bringing a backup back, without ever losing what was there."""

from __future__ import annotations

import os
import shutil
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from floorboard.shop.errors import StoreError
from floorboard.store.backup import sync_folder
from floorboard.store.connect import connect
from floorboard.store.errors import BackupFailed, DatabaseBusy, NoDatabase, NoFolder
from floorboard.store.moments import UTC
from floorboard.store.verify import verify

if TYPE_CHECKING:
    import datetime as dt

_BESIDE = ("-wal", "-shm", "-journal")


@dataclass(frozen=True, slots=True)
class Restored:
    """What was done: the database as it was is at `kept`, None if there was none."""

    database: Path
    backup: Path
    kept: Path | None


def restore(backup: str | Path, database: str | Path, now: dt.datetime) -> Restored:
    """Put a copy of a backup in the database's place; the old one is kept beside it.

    On a machine that never had a database its folder is made.

    Raises
    ------
    floorboard.shop.errors.StoreError
        If the backup is missing or not sound, or a board still has the database open. Then
        nothing is changed.
    """
    backup, database = Path(backup), Path(database)
    if not backup.is_file():
        raise NoDatabase(
            f"There is no backup at {backup}. List them with: floorboard backup --list"
        )
    found = verify(backup)
    if found:
        raise BackupFailed(
            f"{backup} was not restored, for it is not sound: {found[0]} Choose an older backup."
        )
    try:
        database.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise NoFolder(
            f"The folder {database.parent} could not be made ({error.strerror}). "
            "Choose another path for the database."
        ) from error
    part = database.with_name(database.name + ".part")
    try:
        shutil.copyfile(backup, part)
        with part.open("rb+") as file:
            os.fsync(file.fileno())
        kept = _put_aside(database, now)
        os.replace(part, database)
        sync_folder(database.parent)
    except OSError as error:
        raise BackupFailed(
            f"{backup} could not be restored to {database} ({error.strerror}). "
            "Check the folder, your rights and the free space, then restore again."
        ) from error
    finally:
        part.unlink(missing_ok=True)
    return Restored(database, backup, kept)


def _put_aside(database: Path, now: dt.datetime) -> Path | None:
    """Rename the database, its write-ahead log first, for the log must never meet another one.

    Returns the database's new name; None if there was no database.
    """
    if database.exists():
        _refuse_in_use(database)
    stamp = now.astimezone(UTC).strftime("%Y%m%dT%H%M%SZ")
    kept = database.with_name(f"{database.stem}-kept-{stamp}{database.suffix}")
    number = 1
    while any(kept.with_name(kept.name + ending).exists() for ending in ("", *_BESIDE)):
        number += 1
        kept = database.with_name(f"{database.stem}-kept-{stamp}-{number}{database.suffix}")
    for ending in _BESIDE:
        beside = database.with_name(database.name + ending)
        if beside.exists():
            os.replace(beside, kept.with_name(kept.name + ending))
    if not database.exists():
        return None
    os.replace(database, kept)
    return kept


def _refuse_in_use(database: Path) -> None:
    """Refuse a database that others have open; leave its log written into it.

    Leaving the write-ahead log is granted to a connection that is alone. A database too damaged
    to be asked is put aside as it is.
    """
    try:
        with closing(connect(database)) as connection:
            connection.execute("PRAGMA busy_timeout = 500")
            connection.execute("PRAGMA journal_mode = DELETE").fetchone()
    except sqlite3.OperationalError as error:
        if (error.sqlite_errorcode & 0xFF) in {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}:
            raise DatabaseBusy(
                f"A board still has {database} open. Close every board, then restore again."
            ) from error
    except DatabaseBusy:
        raise
    except (sqlite3.DatabaseError, StoreError):
        return
