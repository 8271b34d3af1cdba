"""One look into a database, by as little of the program as that takes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.store import shelf
from floorboard.store.connect import connect
from floorboard.store.errors import NoDatabase, sensible, told
from floorboard.store.migrations import is_current
from floorboard.store.read_tables import load_ledger

if TYPE_CHECKING:
    from pathlib import Path

    from floorboard.floor.floor import Floor
    from floorboard.shop.shop import Shop


def peek(path: Path) -> tuple[Shop, Floor]:
    """Return the shop and its floor as the database has them now. Nothing is written.

    Raises
    ------
    floorboard.shop.errors.StoreError
        In a sentence: no database of this version, none with a shop, or no reading it.
    """
    connection = connect(path, read_only=True)
    try:
        with told(path):
            if not is_current(connection, path):
                raise NoDatabase(f"{path} holds no shop of this version yet.")
            connection.execute("BEGIN")
            shop = shelf.current_shop(connection)
            if shop is None:
                raise NoDatabase(f"{path} holds no shop yet.")
            with sensible(path):
                return shop, load_ledger(connection, shelf.BuildShelf(connection)).floor
    finally:
        connection.close()
