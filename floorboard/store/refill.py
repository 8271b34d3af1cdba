"""Filling the tables beside the log anew, from the log alone."""

from __future__ import annotations

from contextlib import closing
from typing import TYPE_CHECKING

from floorboard.store import event_log, shelf
from floorboard.store.connect import connect
from floorboard.store.errors import told
from floorboard.store.replay import Replay
from floorboard.store.verify import KEYS

if TYPE_CHECKING:
    import sqlite3
    from pathlib import Path


def refill(connection: sqlite3.Connection) -> None:
    """Empty every table that the log makes, and fill it as the log says; in one transaction.

    For a database whose `verify` finds its log sound and its tables not.
    """
    connection.execute("BEGIN IMMEDIATE")
    try:
        replay = Replay(shelf.BuildShelf(connection))
        replay.run(event_log.every(connection))
        fill(connection, replay)
    except BaseException:
        connection.execute("ROLLBACK")
        raise
    connection.execute("COMMIT")


def refill_database(path: Path) -> None:
    """Fill a database's tables anew.

    Raises
    ------
    floorboard.shop.errors.StoreError
        If its log cannot be read, or it cannot be written: then nothing is changed.
    """
    with closing(connect(path)) as connection, told(path):
        refill(connection)


def fill(connection: sqlite3.Connection, replay: Replay) -> None:
    """Put a replay's rows in place of what the tables hold; inside the caller's transaction."""
    for table in KEYS:
        connection.execute(f"DELETE FROM {table}")
        rows = [(*key, *row) for key, row in replay.tables[table].items()]
        if rows:
            marks = ", ".join("?" * len(rows[0]))
            connection.executemany(f"INSERT INTO {table} VALUES ({marks})", rows)
