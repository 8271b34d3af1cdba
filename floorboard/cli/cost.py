"""`floorboard cost`: what castings, pieces, orders and scrap cost in materials and hands."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from floorboard.cli.desk_options import echo_all, shop_store
from floorboard.cli.options import database_option, demo_option, json_option, print_json
from floorboard.cli.subcommands import Subcommands
from floorboard.usecases import cost_text

if TYPE_CHECKING:
    import datetime as dt

    from floorboard.shop.shop import Shop
    from floorboard.store.sqlite_store import SqliteStore
    from floorboard.usecases.costs import CostBook

first_option = click.option("--from", "first", metavar="DATE", help="First day; today by default.")
last_option = click.option("--to", "last", metavar="DATE", help="Last day; today by default.")


@click.group(cls=Subcommands)
def cost() -> None:
    """Say what was spent on materials and hands: by casting, piece, order, or scrap's reason.

    Weights are those logged, at their lots' prices or else the materials'; hands are the time
    between the keys, at each person's hourly rate.
    """


@cost.command()
@click.argument("serial", metavar="SERIAL")
@demo_option
@json_option
@database_option
def casting(serial: str, of_demo: bool, as_json: bool, database: str) -> None:
    """Say what a casting has cost so far, layer by layer and step by step."""
    shop, _, costs, _ = _opened(database, of_demo)
    found = costs.casting(serial)
    if as_json:
        print_json(found)
    else:
        echo_all(cost_text.casting_text(shop, found))


@cost.command()
@click.argument("name", metavar="PIECE")
@first_option
@last_option
@demo_option
@json_option
@database_option
def piece(
    name: str, first: str | None, last: str | None, of_demo: bool, as_json: bool, database: str
) -> None:
    """Say what a piece costs by its definitions, and what those that ended really cost."""
    from floorboard.store.history import History
    from floorboard.usecases.cost_reports import piece_report

    shop, store, costs, now = _opened(database, of_demo)
    start, end = _range(shop, now, first, last)
    with History(store.path) as history:
        found = piece_report(shop, costs, history, name, start, end)
    if as_json:
        print_json(found)
    else:
        echo_all(cost_text.piece_text(shop, found))


@cost.command()
@click.argument("name", metavar="ORDER")
@demo_option
@json_option
@database_option
def order(name: str, of_demo: bool, as_json: bool, database: str) -> None:
    """Say what was spent on an order so far, and what all of it will cost."""
    from floorboard.store.history import History
    from floorboard.usecases.cost_reports import order_report

    shop, store, costs, now = _opened(database, of_demo)
    with History(store.path) as history:
        found = order_report(shop, costs, history, name, now)
    if as_json:
        print_json(found)
    else:
        echo_all(cost_text.order_text(shop, found))


@cost.command()
@first_option
@last_option
@demo_option
@json_option
@database_option
def scrap(first: str | None, last: str | None, of_demo: bool, as_json: bool, database: str) -> None:
    """Say what was scrapped and what it had cost, by reason, dearest first; and batches lost."""
    from floorboard.store.history import History
    from floorboard.usecases.cost_reports import scrap_report

    shop, store, costs, now = _opened(database, of_demo)
    start, end = _range(shop, now, first, last)
    with History(store.path) as history:
        found = scrap_report(costs, history, store.stock, start, end)
    if as_json:
        print_json(found)
    else:
        echo_all(cost_text.scrap_text(shop, found))


def _opened(database: str, of_demo: bool) -> tuple[Shop, SqliteStore, CostBook, dt.datetime]:
    from floorboard.usecases.costs import CostBook
    from floorboard.usecases.stock_book import StockBook

    store, now = shop_store(database, of_demo=of_demo)
    shop = store.shop()
    assert shop is not None
    return shop, store, CostBook(store, shop, StockBook(store.stock)), now


def _range(
    shop: Shop, now: dt.datetime, first: str | None, last: str | None
) -> tuple[dt.datetime, dt.datetime]:
    from floorboard.cli.moments import day_of, range_of
    from floorboard.shop.calendar import shop_day

    today = shop_day(now, shop.shop.zone).date
    end = day_of(last) if last is not None else today
    return range_of(day_of(first) if first is not None else min(today, end), end, shop)
