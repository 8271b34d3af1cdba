"""`floorboard trace`: from a lot to its castings, and from a casting to its lots."""

from __future__ import annotations

import click

from floorboard.cli.desk_options import echo_all, shop_store
from floorboard.cli.options import database_option, demo_option, json_option, print_json
from floorboard.cli.subcommands import Subcommands


@click.group(cls=Subcommands)
def trace() -> None:
    """Follow a lot to every casting it went into, or a casting back to its lots."""


@trace.command()
@click.argument("name", metavar="LOT")
@click.option("--material", metavar="MATERIAL", help="Needed if two materials have such a lot.")
@demo_option
@json_option
@database_option
def lot(name: str, material: str | None, of_demo: bool, as_json: bool, database: str) -> None:
    """Follow a lot to every batch and casting it went into, also through stock solutions."""
    from floorboard.shop.names import key_called
    from floorboard.usecases.trace_text import lot_text
    from floorboard.usecases.traces import trace_lot

    store, _ = shop_store(database, of_demo=of_demo)
    shop = store.shop()
    assert shop is not None
    if material is not None:
        material = key_called(shop.materials, material)
    found = trace_lot(store, shop, name, material)
    if as_json:
        print_json(found)
    else:
        echo_all(lot_text(found))


@trace.command()
@click.argument("serial", metavar="SERIAL")
@demo_option
@json_option
@database_option
def casting(serial: str, of_demo: bool, as_json: bool, database: str) -> None:
    """Follow a casting back to its batches and to every lot behind them."""
    from floorboard.usecases.trace_text import casting_text
    from floorboard.usecases.traces import trace_casting

    store, _ = shop_store(database, of_demo=of_demo)
    shop = store.shop()
    assert shop is not None
    found = trace_casting(store, shop, serial)
    if as_json:
        print_json(found)
    else:
        echo_all(casting_text(found))
