"""The one place that wires clock, store and planner into a session."""

from __future__ import annotations

import os
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from floorboard.cli.options import ensure_folder
from floorboard.floor.clock import SystemClock
from floorboard.usecases.session import NoShop, Session

if TYPE_CHECKING:
    import datetime as dt

    from floorboard.floor.clock import Clock
    from floorboard.floor.floor import Floor
    from floorboard.planning.plan import Plan
    from floorboard.shop.shop import Shop
    from floorboard.store.history import History
    from floorboard.store.sqlite_store import SqliteStore
    from floorboard.usecases.planner_with_past import PastInUse, PlannerWithPast
    from floorboard.usecases.ports import Betterer


class ShopPlanner:
    """The planner, imported when first asked: the board paints before it."""

    def plan(
        self, shop: Shop, floor: Floor, now: dt.datetime, previous: Plan | None = None
    ) -> Plan:
        """Return a plan that has passed the checker, at once."""
        from floorboard.planning.planner import plan_shop

        return plan_shop(shop, floor, now, previous)


class PastPlanner:
    """The planner that knows the past, imported when first asked."""

    def __init__(self, database: Path) -> None:
        self._database = database

    @cached_property
    def _planner(self) -> PlannerWithPast:
        from floorboard.usecases.planner_with_past import PlannerWithPast

        return PlannerWithPast(ShopPlanner(), past_in_use(self._database))

    def plan(
        self, shop: Shop, floor: Floor, now: dt.datetime, previous: Plan | None = None
    ) -> Plan:
        """Return a plan that has passed the checker, at once."""
        return self._planner.plan(shop, floor, now, previous)

    def betterer(self) -> Betterer:
        """Return a process that betters its plans, with what they were made with."""
        from floorboard.usecases.planner_with_past import BettererWithPast

        return BettererWithPast(new_betterer(), self._planner.past)


def new_betterer() -> Betterer:
    """Return a process that betters plans beside the screen."""
    from floorboard.planning.improve import Improver

    return Improver()


def betterer_of(session: Session) -> Betterer:
    """Return a process that betters a session's plans, with what they are made with."""
    planner = session.base_planner
    return planner.betterer() if isinstance(planner, PastPlanner) else new_betterer()


def open_database(database: str, *, read_only: bool = False) -> SqliteStore:
    """Open the shop's database, made new if it is not there.

    Raises
    ------
    floorboard.shop.errors.StoreError
        In a sentence: locked, read-only, newer, or no database.
    """
    from floorboard.store.errors import NoDatabase
    from floorboard.store.sqlite_store import open_store

    path = Path(database).expanduser()
    if not read_only:
        ensure_folder(path.parent, "--database")
        return open_store(path)
    try:
        return open_store(path, read_only=True)
    except NoDatabase:
        if not (path.is_file() and os.access(path, os.W_OK)):
            raise
    # An older version wrote it: once opened for writing, it is of this one.
    open_store(path).close()
    return open_store(path, read_only=True)


def open_session(database: str, station: str, clock: Clock | None = None) -> Session:
    """Open a session on a database, planned with what its past tells."""
    store = open_database(database)
    return Session(store, PastPlanner(store.path), clock or SystemClock(), station)


def past_in_use(database: Path) -> PastInUse:
    """Return the times in use and what orders have had, read from a database whenever asked."""
    from floorboard.store.history import History
    from floorboard.usecases.planner_with_past import PastInUse

    return PastInUse(lambda: History(database))


def open_history(database: str) -> tuple[Shop, History]:
    """Return the shop of a database, and its past to be read in a `with` block.

    Raises
    ------
    NoShop
        If the database is empty.
    floorboard.shop.errors.StoreError
        In a sentence: newer, or no database.
    """
    from floorboard.store.history import History

    with open_database(database, read_only=True) as store:
        shop = store.shop()
        if shop is None:
            raise NoShop("The database holds no shop yet. Load one with: floorboard shop load FILE")
        return shop, History(store.path)
