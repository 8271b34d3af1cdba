"""`floorboard stock`: what is on hand, and lots received, opened, counted, wasted, made up."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from floorboard.cli.desk_options import desk_session, echo_all
from floorboard.cli.options import (
    database_option,
    demo_option,
    given_before,
    json_option,
    print_json,
    station_option,
)
from floorboard.cli.quantity_types import QuantityType
from floorboard.shop.names import key_called
from floorboard.shop.quantities import Mass
from floorboard.usecases.batch_ticket import in_shop_units

if TYPE_CHECKING:
    from collections.abc import Iterator

    from floorboard.floor.events import AnyEvent
    from floorboard.mixing.stock_outlook import StockLine
    from floorboard.shop.shop import Shop
    from floorboard.usecases.lot_lines import LotLine
    from floorboard.usecases.session import Session

MASS = QuantityType(Mass)


@click.group(invoke_without_command=True)
@demo_option
@json_option
@database_option
@station_option
@click.pass_context
def stock(ctx: click.Context, of_demo: bool, as_json: bool, database: str, station: str) -> None:
    """Say what is on hand, what today's plan takes of it, and for how long it lasts.

    Without a further word it prints a line a material; the words below change the stock.
    """
    if ctx.invoked_subcommand is not None:
        ctx.default_map = given_before(ctx)
        return
    from floorboard.usecases.stock_notes import committed_grams

    session = desk_session(database, station, of_demo=of_demo)
    plan, now = session.replan(), session.now
    taken = committed_grams(session.shop, session.floor, plan)
    lines = session.book.lines(session.shop, taken, now, plan.until)
    if as_json:
        print_json([line.model_dump(mode="json") for line in lines])
        return
    echo_all(stock_text(session.shop, lines))
    echo_all(
        f"! {in_shop_units(session.shop, sentence)}"
        for sentence in session.book.sentences(session.shop)
    )


@stock.command()
@click.option("--all", "empty", is_flag=True, help="Also lots that are used up.")
@demo_option
@json_option
@database_option
@station_option
def lots(empty: bool, of_demo: bool, as_json: bool, database: str, station: str) -> None:
    """List the lots with their dates, and which is used first."""
    from floorboard.usecases.lot_lines import lot_lines

    session = desk_session(database, station, of_demo=of_demo)
    lines = lot_lines(session.shop, session.book.lots(session.shop), session.now, empty=empty)
    if as_json:
        print_json([line.model_dump(mode="json") for line in lines])
    else:
        echo_all(lots_text(session.shop, lines))


@stock.command()
@click.argument("material")
@click.argument("lot")
@click.argument("weight", type=MASS)
@click.option("--expires", metavar="DATE", help="The supplier's date, such as 2026-09-30.")
@click.option("--cost", type=click.FloatRange(min=0), help="Paid for the whole lot.")
@database_option
@station_option
def receive(
    material: str,
    lot: str,
    weight: float,
    expires: str | None,
    cost: float | None,
    database: str,
    station: str,
) -> None:
    """Take in a lot: floorboard stock receive plaster P-2611 "25 kg" --expires 2026-09-30."""
    from floorboard.cli.moments import day_of
    from floorboard.usecases import stock_changes

    session = desk_session(database, station)
    material = key_called(session.shop.materials, material)
    date = day_of(expires) if expires is not None else None
    _log(
        session, stock_changes.receive(session.shop, material, lot, weight, expires=date, cost=cost)
    )


@stock.command("open")
@click.argument("material")
@click.argument("lot")
@database_option
@station_option
def open_(material: str, lot: str, database: str, station: str) -> None:
    """Say that a lot was opened: its open life runs from now. Weighing from it says so by itself."""
    from floorboard.usecases import stock_changes

    session = desk_session(database, station)
    material = key_called(session.shop.materials, material)
    _log(session, stock_changes.open_lot(session.shop, session.book, material, lot))


@stock.command()
@click.argument("material")
@click.argument("lot")
@click.argument("weight", type=MASS)
@database_option
@station_option
def count(material: str, lot: str, weight: float, database: str, station: str) -> None:
    """Say what was found of a lot; the account goes by it from now on. Empty is "0 g"."""
    from floorboard.usecases import stock_changes

    session = desk_session(database, station)
    material = key_called(session.shop.materials, material)
    _log(session, stock_changes.count(session.shop, session.book, material, lot, weight))


@stock.command()
@click.argument("material")
@click.argument("weight", type=MASS)
@click.option("--lot", metavar="LOT", help="From this lot; by default the one in use.")
@click.option("--note", default="", metavar="TEXT", help="Why.")
@database_option
@station_option
def waste(
    material: str, weight: float, lot: str | None, note: str, database: str, station: str
) -> None:
    """Say that material was spilt, spoiled or thrown away."""
    from floorboard.usecases import stock_changes

    session = desk_session(database, station)
    material = key_called(session.shop.materials, material)
    _log(
        session,
        stock_changes.waste(
            session.shop, session.book, material, weight, session.now, lot=lot, note=note
        ),
    )


@stock.command("make-up")
@click.argument("material")
@click.argument("weight", type=MASS)
@click.option("--lot", metavar="LOT", help="The new lot's name; one of the day's by default.")
@click.option("--expires", metavar="DATE", help="Its date, such as 2026-03-26.")
@database_option
@station_option
def make_up(
    material: str,
    weight: float,
    lot: str | None,
    expires: str | None,
    database: str,
    station: str,
) -> None:
    """Make up so much of a stock solution, from the lots in stock, and say what to weigh for it."""
    from floorboard.cli.moments import day_of
    from floorboard.shop.calendar import shop_day
    from floorboard.shop.units import show_grams
    from floorboard.usecases import stock_changes

    session = desk_session(database, station)
    material = key_called(session.shop.materials, material)
    shop, book, now = session.shop, session.book, session.now
    active, water = stock_changes.solution_weights(shop, material, weight)
    day = shop_day(now, shop.shop.zone).date
    name = lot or stock_changes.lot_name_for(shop, book, material, day)
    date = day_of(expires) if expires is not None else None
    _log(
        session,
        stock_changes.make_up(shop, book, material, name, weight, now, expires=date),
    )
    solution = shop.materials[material].solution
    assert solution is not None
    click.echo(
        f"{show_grams(shop, active)} of {solution.active} in {show_grams(shop, water)} of water"
    )


def _log(session: Session, events: list[AnyEvent]) -> None:
    from floorboard.usecases.entry_words import event_words

    for entry in session.log_as_seen(None, *events):
        click.echo(f"{event_words(entry.event, session.shop, session.castings)}.")


def stock_text(shop: Shop, lines: tuple[StockLine, ...]) -> Iterator[str]:
    """Yield a line a material, then what to mind."""
    from floorboard.shop.units import show_grams

    if not lines:
        yield "No lot has been received yet. Take one in with: floorboard stock receive"
        return
    yield f"{'material':<28}{'on hand':>13}{'plan takes':>13}{'days left':>11}{'order at':>13}"
    for line in lines:
        days = "" if line.days_left is None else f"{line.days_left:.0f}"
        point = "" if line.reorder_at_grams is None else show_grams(shop, line.reorder_at_grams)
        yield (
            f"{line.name[:27]:<28}{show_grams(shop, line.on_hand_grams):>13}"
            f"{show_grams(shop, line.committed_grams):>13}{days:>11}{point:>13}"
        )
    for line in lines:
        yield from (f"! {in_shop_units(shop, remark)}" for remark in line.remarks)


def lots_text(shop: Shop, lines: tuple[LotLine, ...]) -> Iterator[str]:
    """Yield a line a lot; the lot used first is marked."""
    from floorboard.shop.units import show_grams

    yield f"  {'material':<26}{'lot':<16}{'on hand':>13}  {'opened':<11}{'good until':<11}"
    for line in lines:
        opened = "" if line.opened_at is None else f"{line.opened_at:%Y-%m-%d}"
        until = line.good_until or ""
        mark = ">" if line.used_first else " "
        yield (
            f"{mark} {line.name[:25]:<26}{line.lot:<16}"
            f"{show_grams(shop, line.on_hand_grams):>13}  {opened:<11}{until:<11}"
            f"{'expired' if line.expired else ''}"
        )
