"""A SQLite file of plain tables, written whole or not at all."""

from __future__ import annotations

import os
import sqlite3
from typing import TYPE_CHECKING

from floorboard.store.errors import told
from floorboard.store.plain_tables import write_sqlite

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    from floorboard.floor.history_rows import PlainTable


def write_plain_database(path: Path, tables: Iterable[PlainTable]) -> dict[str, int]:
    """Write the tables into a new file and return how many rows each has.

    It is written beside its place first, so that what stands at `path` is never half a file.

    Raises
    ------
    floorboard.shop.errors.StoreError
        In a sentence.
    """
    half = path.with_name(f"{path.name}.part")
    half.unlink(missing_ok=True)
    counts: dict[str, int] = {}
    try:
        with told(path):
            connection = sqlite3.connect(half, isolation_level=None)
            try:
                # The file is no one's until it is whole, so nothing need be waited for.
                connection.execute("PRAGMA journal_mode = OFF")
                connection.execute("PRAGMA synchronous = OFF")
                connection.execute("BEGIN")
                for table in tables:
                    write_sqlite(connection, table)
                    sql = f'SELECT count(*) FROM "{table.name}"'
                    counts[table.name] = int(connection.execute(sql).fetchone()[0])
                connection.execute("COMMIT")
            finally:
                connection.close()
        os.replace(half, path)
    finally:
        half.unlink(missing_ok=True)
    return counts
