"""The past that the records' commands read: the shop's own, or the demo shop's."""

from __future__ import annotations

import tempfile
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from floorboard.cli.compose import open_database, open_history

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterator

    from floorboard.floor.floor import Floor
    from floorboard.shop.shop import Shop
    from floorboard.store.history import History


@contextmanager
def of_demo_or_database(
    database: str, *, of_demo: bool
) -> Iterator[tuple[Shop, History, dt.datetime]]:
    """Give the shop, its past and the moment it is looked at."""
    from floorboard.floor.clock import SystemClock

    if not of_demo:
        shop, history = open_history(database)
        with history:
            yield shop, history, SystemClock().now()
        return
    from floorboard.cli.board import fill_demo

    with tempfile.TemporaryDirectory(prefix="floorboard-demo-") as folder:
        path = Path(folder) / "demo.db"
        store, start = fill_demo(path)
        store.close()
        shop, history = open_history(str(path))
        with history:
            yield shop, history, start


def floor_of_demo_or_database(database: str, *, of_demo: bool) -> tuple[Shop, Floor, dt.datetime]:
    """Return the shop, its floor as it stands and the moment it is looked at."""
    from floorboard.floor.clock import SystemClock
    from floorboard.usecases.session import NoShop

    if of_demo:
        from floorboard.cli.board import fill_demo

        with tempfile.TemporaryDirectory(prefix="floorboard-demo-") as folder:
            store, start = fill_demo(Path(folder) / "demo.db")
            with store:
                shop = store.shop()
                assert shop is not None
                return shop, store.floor(), start
    with open_database(database, read_only=True) as store:
        shop = store.shop()
        if shop is None:
            raise NoShop("The database holds no shop yet. Load one with: floorboard shop load FILE")
        return shop, store.floor(), SystemClock().now()
