"""`floorboard cost`: what castings, pieces, orders and scrap cost in materials and hands."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from floorboard.cli.desk_options import echo_all, shop_store
from floorboard.cli.options import database_option, demo_option, json_option, print_json

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterator

    from floorboard.mixing.cost import Cost
    from floorboard.shop.shop import Shop
    from floorboard.store.sqlite_store import SqliteStore
    from floorboard.usecases.cost_reports import OrderCostReport, PieceCostReport, ScrapReport
    from floorboard.usecases.costs import CastingCostSoFar, CostBook

first_option = click.option("--from", "first", metavar="DATE", help="First day; today by default.")
last_option = click.option("--to", "last", metavar="DATE", help="Last day; today by default.")


@click.group()
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
        echo_all(casting_text(shop, found))


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
        echo_all(piece_text(shop, found))


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
        echo_all(order_text(shop, found))


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
        echo_all(scrap_text(shop, found))


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


def money(shop: Shop, amount: float) -> str:
    """Return an amount of the shop's money: "12.34 EUR"."""
    return f"{amount:,.2f} {shop.shop.currency}".replace(",", " ").rstrip()


def cost_text(shop: Shop, what: str, found: Cost) -> str:
    """Return a line: what it is for, materials, hands and both together."""
    return (
        f"  {what:<28}{money(shop, found.materials):>14}{money(shop, found.hands):>14}"
        f"{money(shop, found.total):>14}"
    )


def _head() -> str:
    return f"  {'':<28}{'materials':>14}{'hands':>14}{'together':>14}"


def _unpriced(found: Cost) -> Iterator[str]:
    if found.unpriced:
        yield f"! Without a price, so left out: {', '.join(found.unpriced)}."


def casting_text(shop: Shop, found: CastingCostSoFar) -> Iterator[str]:
    """Yield a casting's cost for people."""
    rejected = f", rejected for {found.rejected_for}" if found.rejected_for else ""
    yield f"Casting {found.casting} of {found.piece}{rejected}, so far:"
    yield _head()
    for layer in found.layers:
        batch = f", batch {layer.batch}" if layer.batch else ""
        yield cost_text(shop, f"layer {layer.layer + 1}{batch}", layer.cost)
    yield cost_text(shop, "readying and demolding", found.handling)
    route = shop.pieces[found.piece].route if found.piece in shop.pieces else ()
    for step in found.steps:
        known = route[step.step] if step.step < len(route) else None
        name = (known.name or known.kind) if known is not None else f"step {step.step + 1}"
        yield cost_text(shop, name[:27], step.cost)
    yield cost_text(shop, "in all", found.whole)
    yield from _unpriced(found.whole)


def piece_text(shop: Shop, found: PieceCostReport) -> Iterator[str]:
    """Yield a piece's cost for people."""
    yield f"{found.name}, one casting by its definitions, every layer mixed by itself:"
    yield _head()
    for index, layer in enumerate(found.as_defined.layers):
        yield cost_text(shop, f"layer {index + 1}", layer)
    yield cost_text(shop, "readying and demolding", found.as_defined.handling)
    for step, one in zip(shop.pieces[found.piece].route, found.as_defined.steps, strict=True):
        if not step.passive:
            yield cost_text(shop, (step.name or step.kind)[:27], one)
    yield cost_text(shop, "in all", found.as_defined.whole)
    yield f"As made: {found.ended} ended in these days, {found.good} of them good."
    if found.ended:
        yield cost_text(shop, "spent on all of them", found.spent)
    if found.each_good is not None:
        yield cost_text(shop, "each good one bears", found.each_good)
    yield from _unpriced(found.as_defined.whole)


def order_text(shop: Shop, found: OrderCostReport) -> Iterator[str]:
    """Yield an order's cost for people."""
    yield (
        f"Order {found.order}: {found.quantity} of {found.piece}; {found.begun} begun, "
        f"{found.good} good, {found.rejected} rejected."
    )
    yield _head()
    yield cost_text(shop, "spent so far", found.spent)
    yield cost_text(shop, "expected in all", found.expected)
    yield from _unpriced(found.expected)


def scrap_text(shop: Shop, found: ScrapReport) -> Iterator[str]:
    """Yield scrap's cost for people."""
    if not found.lines and not found.lost_batches:
        yield "Nothing was scrapped in these days."
        return
    yield _head()
    for line in found.lines:
        known = shop.reasons.get(line.reason)
        name = known.name if known is not None else line.reason
        yield cost_text(shop, f"{line.castings} for {name.lower()}"[:27], line.cost)
    if found.lost_batches:
        yield cost_text(shop, f"{found.lost_batches} batches lost", found.lost)
    yield cost_text(shop, "in all", found.whole)
    yield from _unpriced(found.whole)
