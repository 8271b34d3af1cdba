"""Backups: whole copies made while boards are at work, checked, and kept in a rotating set.

A backup is one plain database file, named after the database and the moment it was begun:
``floor-20260312T163000Z.db``. It gets that name only once it has been checked.
"""

from __future__ import annotations

import datetime as dt
import os
import re
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from floorboard.shop.errors import StoreError
from floorboard.store import event_log
from floorboard.store.connect import connect
from floorboard.store.errors import BackupFailed, NoFolder, told
from floorboard.store.moments import UTC
from floorboard.store.verify import Finding, verify

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Iterable

_STAMP = "%Y%m%dT%H%M%SZ"
_UNFINISHED = ".part"


@dataclass(frozen=True, slots=True)
class Backup:
    """A backup that was checked when it was made."""

    path: Path
    made_at: dt.datetime


@dataclass(frozen=True, slots=True)
class Keep:
    """How many backups a rotating set holds.

    The `latest`, and the last one of each of the latest `days` and `weeks` that have any, in UTC.
    """

    latest: int = 8
    days: int = 14
    weeks: int = 8


def back_up(database: str | Path, folder: str | Path, now: dt.datetime) -> Backup:
    """Make a backup, check it against its own log and return it.

    Writers are not held up. `now` names the backup; it is aware.

    Raises
    ------
    floorboard.shop.errors.StoreError
        If the database cannot be read, the folder not written, or the copy is not sound: then no
        backup is left behind.
    """
    database, folder = Path(database), Path(folder)
    if not folder.is_dir():
        raise NoFolder(f"The folder {folder} does not exist. Make it, or choose another one.")
    target, made_at = _free_name(folder, database.stem, now)
    part = target.with_name(target.name + _UNFINISHED)
    try:
        _copy(database, part)
        _refuse_unsound(database, part)
        os.replace(part, target)
        sync_folder(folder)
    except OSError as error:
        raise BackupFailed(
            f"The backup could not be written to {folder} ({error.strerror}). "
            "Check the folder and its free space, then back up again."
        ) from error
    finally:
        part.unlink(missing_ok=True)
    return Backup(target, made_at)


def _free_name(folder: Path, stem: str, now: dt.datetime) -> tuple[Path, dt.datetime]:
    """Return a name not yet taken, and the second it stands for."""
    moment = now.astimezone(UTC).replace(microsecond=0)
    while (path := folder / f"{stem}-{moment.strftime(_STAMP)}.db").exists():
        moment += dt.timedelta(seconds=1)
    return path, moment


def _copy(database: Path, part: Path) -> None:
    part.unlink(missing_ok=True)
    with told(part), closing(connect(database, read_only=True)) as source:
        _copy_all(source, part)
    with part.open("rb") as file:
        os.fsync(file.fileno())


def _copy_all(source: sqlite3.Connection, part: Path) -> None:
    import sqlite3

    with closing(sqlite3.connect(part, isolation_level=None)) as copy:
        # In one step: one snapshot, where steps would begin again whenever someone logs.
        source.backup(copy, pages=-1)
        # A backup is one file, with no log beside it.
        copy.execute("PRAGMA journal_mode = DELETE").fetchone()


def _refuse_unsound(database: Path, copy: Path) -> None:
    found = verify(copy)
    if found:
        raise BackupFailed(
            f"The backup of {database} was not kept, for it is not sound: {found[0]} "
            "Look at all findings with: floorboard check"
        )


def sync_folder(folder: Path) -> None:
    """Force a folder's names to the disk, where the system can."""
    if os.name == "posix":
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def backups_in(folder: str | Path, database: str | Path) -> list[Backup]:
    """Return a database's backups in a folder, newest first."""
    stem = re.escape(Path(database).stem)
    named = re.compile(rf"{stem}-(\d{{8}}T\d{{6}}Z)\.db")
    found = []
    for path in Path(folder).glob("*.db"):
        if match := named.fullmatch(path.name):
            made_at = dt.datetime.strptime(match[1], _STAMP).replace(tzinfo=UTC)
            found.append(Backup(path, made_at))
    return sorted(found, key=lambda backup: backup.made_at, reverse=True)


def is_due(backups: Iterable[Backup], now: dt.datetime, every: dt.timedelta) -> bool:
    """Return whether the newest backup is at least `every` old, or dated after `now`.

    One dated after now was made while the clock was wrong, and says nothing of its age.
    """
    newest = max((backup.made_at for backup in backups), default=None)
    return newest is None or newest > now or now - newest >= every


def to_drop(backups: Iterable[Backup], keep: Keep) -> list[Backup]:
    """Return the backups that the rotating set has no place for, oldest first."""
    newest_first = sorted(backups, key=lambda backup: backup.made_at, reverse=True)
    kept = set(newest_first[: keep.latest])
    for count, period in ((keep.days, "%Y-%m-%d"), (keep.weeks, "%G-%V")):
        last_of: dict[str, Backup] = {}
        for backup in newest_first:
            last_of.setdefault(backup.made_at.strftime(period), backup)
        kept |= set(list(last_of.values())[:count])
    return [backup for backup in reversed(newest_first) if backup not in kept]


def rotate(folder: str | Path, database: str | Path, keep: Keep = Keep()) -> list[Backup]:
    """Delete what the rotating set has no place for, and return it.

    Raises
    ------
    BackupFailed
        If a file cannot be deleted.
    """
    dropped = to_drop(backups_in(folder, database), keep)
    for backup in dropped:
        try:
            backup.path.unlink(missing_ok=True)
        except OSError as error:
            raise BackupFailed(
                f"The old backup {backup.path} could not be deleted ({error.strerror})."
            ) from error
    return dropped


def entries_in(backup: str | Path) -> int:
    """Return how many entries a backup holds."""
    path = Path(backup)
    with closing(connect(path, read_only=True)) as connection, told(path):
        return event_log.last_seq(connection)


def findings_in(backup: str | Path) -> list[Finding]:
    """Check a backup again, as a whole."""
    try:
        return verify(backup)
    except StoreError as error:
        return [Finding("file", str(error))]
