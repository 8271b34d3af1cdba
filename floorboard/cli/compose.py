"""The one place that wires clock, store and planner into a session."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from floorboard.cli.options import ensure_folder
from floorboard.floor.clock import SystemClock
from floorboard.usecases.session import Session

if TYPE_CHECKING:
    import datetime as dt

    from floorboard.floor.clock import Clock
    from floorboard.floor.floor import Floor
    from floorboard.planning.plan import Plan
    from floorboard.shop.shop import Shop
    from floorboard.store.sqlite_store import SqliteStore


class ShopPlanner:
    """The planner, imported when first asked: the board paints before it."""

    def plan(
        self, shop: Shop, floor: Floor, now: dt.datetime, previous: Plan | None = None
    ) -> Plan:
        """Return a plan that has passed the checker, at once."""
        from floorboard.planning.planner import plan_shop

        return plan_shop(shop, floor, now, previous)


def open_database(database: str, *, read_only: bool = False) -> SqliteStore:
    """Open the shop's database, made new if it is not there.

    Raises
    ------
    floorboard.shop.errors.StoreError
        In a sentence: locked, read-only, newer, or no database.
    """
    from floorboard.store.sqlite_store import open_store

    if not read_only:
        ensure_folder(database)
    return open_store(Path(database).expanduser(), read_only=read_only)


def open_session(database: str, station: str, clock: Clock | None = None) -> Session:
    """Open a session on a database."""
    return Session(open_database(database), ShopPlanner(), clock or SystemClock(), station)
