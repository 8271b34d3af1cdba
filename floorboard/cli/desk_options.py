"""What the mix desk's commands share: where the shop comes from, and how weights are shown."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import click

from floorboard.cli.quantity_types import PairType, QuantityType
from floorboard.shop.quantities import Percent, Temperature

if TYPE_CHECKING:
    from collections.abc import Iterable

    from floorboard.floor.floor import Floor
    from floorboard.mixing.weight_text import Units
    from floorboard.shop.shop import Shop
    from floorboard.store.sqlite_store import SqliteStore

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
    """A shop and its floor; `store` is None where only a shop file was given."""

    shop: Shop
    floor: Floor
    store: SqliteStore | None

    @property
    def units(self) -> Units:
        """The units the shop reads."""
        return self.shop.shop.units

    def celsius(self, given: float | None) -> float | None:
        """Return the temperature given, or else the one last read in the shop."""
        from floorboard.usecases.batch_ticket import room_celsius

        return given if given is not None else room_celsius(self.floor)


def desk_source(shop_file: str | None, database: str) -> DeskSource:
    """Read the shop from a file, or the shop and its floor from the database."""
    if shop_file is not None:
        from floorboard.floor.floor import Floor
        from floorboard.usecases.check_shop import read_checked_shop

        return DeskSource(read_checked_shop(Path(shop_file)), Floor(), None)
    store = shop_store(database)
    shop = store.shop()
    assert shop is not None
    return DeskSource(shop, store.floor(), store)


def shop_store(database: str, *, read_only: bool = True) -> SqliteStore:
    """Open a database that holds a shop."""
    from floorboard.cli.compose import open_database

    store = open_database(database, read_only=read_only)
    if store.shop() is None:
        raise click.ClickException(NO_SHOP)
    return store


def echo_all(lines: Iterable[str]) -> None:
    """Print lines."""
    for line in lines:
        click.echo(line)
