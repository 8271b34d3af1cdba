"""Migrations: append-only steps from every released schema to the newest.

They run through sqlite-utils' own `Migrations`, which is slow to import; a database that is up to
date is recognised without it. Several processes may open a fresh file at once: whoever gets the
write lock first migrates, the others find it done.
"""

from __future__ import annotations

import os
import sqlite3
from typing import TYPE_CHECKING

from floorboard.store.connect import APPLICATION_ID
from floorboard.store.errors import NewerDatabase, NotADatabase
from floorboard.store.schema import M001, M002, M003

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

    from sqlite_utils import Database

    Step = Callable[[Database], None]

SET_NAME = "floorboard"


def m001_log_and_floor(db: Database) -> None:
    """The log, and the tables kept beside it."""
    db.conn.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    for statement in M001:
        db.conn.execute(statement)


def m002_indexes_for_the_records(db: Database) -> None:
    """How castings stood at a moment, and which fill orders, from an index alone."""
    for statement in M002:
        db.conn.execute(statement)


def m003_decisions_on_times(db: Database) -> None:
    """Where the log says which times to plan with."""
    for statement in M003:
        db.conn.execute(statement)


# In order; a released one is never edited, removed or moved.
STEPS: tuple[Step, ...] = (
    m001_log_and_floor,
    m002_indexes_for_the_records,
    m003_decisions_on_times,
)


def applied(connection: sqlite3.Connection) -> list[str]:
    """Return the names of the migrations a database has had, in order."""
    try:
        rows = connection.execute(
            "SELECT name FROM _sqlite_migrations WHERE migration_set = ? ORDER BY id", (SET_NAME,)
        ).fetchall()
    except sqlite3.OperationalError as error:
        if "no such table" in str(error):
            return []
        raise
    return [name for (name,) in rows]


def is_current(connection: sqlite3.Connection, path: Path, steps: Sequence[Step] = STEPS) -> bool:
    """Return whether the database has the newest schema.

    Raises
    ------
    floorboard.shop.errors.StoreError
        If it is newer than this program knows, or another program's.
    """
    names = [step.__name__ for step in steps]
    had = applied(connection)
    unknown = [name for name in had if name not in names]
    if unknown:
        raise NewerDatabase(
            f"{path} was written by a newer floorboard ({unknown[-1]} is not known here). "
            "Install that version on this machine, or choose another database with --database."
        )
    if not had and _holds_something_else(connection):
        raise NotADatabase(
            f"{path} is a database of another program. Choose another file with --database."
        )
    return had == names


def migrate(
    connection: sqlite3.Connection, path: Path, steps: Sequence[Step] = STEPS
) -> Path | None:
    """Bring a database to the newest schema, all or nothing.

    Returns the backup made beforehand; None for a fresh file, or one that was up to date.
    """
    from sqlite_utils import Database, Migrations

    migrations = Migrations(SET_NAME)
    for step in steps:
        migrations()(step)
    backup = None
    connection.execute("BEGIN IMMEDIATE")
    try:
        had = applied(connection)
        if had and len(had) < len(steps):
            backup = _back_up(path, had[-1])
        migrations.apply(Database(connection))
    except BaseException:
        connection.execute("ROLLBACK")
        raise
    connection.execute("COMMIT")
    return backup


def _holds_something_else(connection: sqlite3.Connection) -> bool:
    count = connection.execute(
        "SELECT count(*) FROM sqlite_master WHERE name NOT LIKE 'sqlite_%'"
        " AND name NOT LIKE '_sqlite_migrations%'"
    ).fetchone()[0]
    mark = connection.execute("PRAGMA application_id").fetchone()[0]
    if mark == APPLICATION_ID:
        # Another process has just made it, between the looks at its migrations and its tables.
        return False
    return bool(count) or mark != 0


def _back_up(path: Path, last: str) -> Path:
    """Copy the database as it stands. Another connection, for VACUUM runs in no transaction."""
    target = path.with_name(f"{path.stem}.after-{last}{path.suffix}")
    number = 1
    while target.exists():
        number += 1
        target = path.with_name(f"{path.stem}.after-{last}-{number}{path.suffix}")
    reader = sqlite3.connect(path, isolation_level=None)
    try:
        reader.execute("VACUUM INTO ?", (str(target),))
    finally:
        reader.close()
    # SQLite leaves it to us to force the copy to the disk.
    with target.open("rb+") as file:
        os.fsync(file.fileno())
    return target
