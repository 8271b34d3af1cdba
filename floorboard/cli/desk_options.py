"""What the mix desk's commands share: where the shop comes from, and how weights are shown."""

from __future__ import annotations

import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import click

from floorboard.cli.quantity_types import PairType, QuantityType
from floorboard.shop.quantities import Percent, Temperature

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterable

    from floorboard.floor.floor import Floor
    from floorboard.mixing.weight_text import Units
    from floorboard.shop.shop import Shop
    from floorboard.store.sqlite_store import SqliteStore
    from floorboard.usecases.session import Session

NO_SHOP = "The database holds no shop yet. Load one with: floorboard shop load FILE"

shop_file_option = click.option(
    "--shop",
    "shop_file",
    metavar="FILE",
    type=click.Path(exists=True, dir_okay=False),
    help="Take the definitions from this shop file instead of the database.",
)
percent_option = click.option(
    "--percent",
    "percents",
    multiple=True,
    metavar="ADDITIVE=PERCENT",
    type=PairType(Percent, "additive"),
    help="Another percentage for this batch, such as 'accelerator-stock=2'. May be repeated.",
)
temperature_option = click.option(
    "--temperature",
    metavar="TEMPERATURE",
    type=QuantityType(Temperature),
    help="Of room and water, such as '16 C'; today's as read in the shop by default.",
)


@dataclass(frozen=True, slots=True)
class DeskSource:
    """A shop and its floor at a moment; `store` is None where only a shop file was given."""

    shop: Shop
    floor: Floor
    store: SqliteStore | None
    now: dt.datetime

    @property
    def units(self) -> Units:
        """The units the shop reads."""
        return self.shop.shop.units

    def celsius(self, given: float | None) -> float | None:
        """Return the temperature given, or else the one last read in the shop."""
        from floorboard.usecases.batch_ticket import room_celsius

        return given if given is not None else room_celsius(self.floor)


def desk_source(shop_file: str | None, database: str, *, of_demo: bool = False) -> DeskSource:
    """Read the shop from a file, or the shop and its floor from the database or the demo."""
    from floorboard.floor.clock import SystemClock

    if shop_file is not None:
        from floorboard.floor.floor import Floor
        from floorboard.usecases.check_shop import read_checked_shop

        shop = read_checked_shop(Path(shop_file))
        return DeskSource(shop, Floor(), None, SystemClock().now())
    store, now = shop_store(database, of_demo=of_demo)
    found = store.shop()
    assert found is not None
    return DeskSource(found, store.floor(), store, now)


def shop_store(
    database: str, *, of_demo: bool = False, read_only: bool = True
) -> tuple[SqliteStore, dt.datetime]:
    """Open a database that holds a shop, or the demo's; it is closed when the command ends.

    Returns it with the moment it is looked at.
    """
    from floorboard.floor.clock import SystemClock

    context = click.get_current_context()
    if of_demo:
        from floorboard.cli.board import fill_demo

        folder = context.with_resource(tempfile.TemporaryDirectory(prefix="floorboard-demo-"))
        store, start = fill_demo(Path(folder) / "demo.db")
        return context.with_resource(store), start
    from floorboard.cli.compose import open_database

    store = context.with_resource(open_database(database, read_only=read_only))
    if store.shop() is None:
        raise click.ClickException(NO_SHOP)
    return store, SystemClock().now()


def desk_session(database: str, station: str, *, of_demo: bool = False) -> Session:
    """Open a session on a database or on the demo's, closed when the command ends."""
    from floorboard.cli.compose import ShopPlanner, past_in_use
    from floorboard.floor.clock import FixedClock, SystemClock
    from floorboard.usecases.planner_with_past import PlannerWithPast
    from floorboard.usecases.session import Session

    store, now = shop_store(database, of_demo=of_demo, read_only=False)
    if of_demo:
        return Session(store, ShopPlanner(), FixedClock(now), station)
    planner = PlannerWithPast(ShopPlanner(), past_in_use(store.path))
    return Session(store, planner, SystemClock(), station)


def echo_all(lines: Iterable[str]) -> None:
    """Print lines."""
    for line in lines:
        click.echo(line)
