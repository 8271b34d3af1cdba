"""`floorboard plan`: who should do what when."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from floorboard.cli.compose import ShopPlanner, open_session
from floorboard.cli.options import database_option, json_option, print_json, station_option

if TYPE_CHECKING:
    from floorboard.planning.plan import Plan
    from floorboard.shop.shop import Shop


@click.command()
@click.option(
    "--shop", "shop_file", metavar="FILE", help="Plan a shop file, all molds empty, no database."
)
@click.option(
    "--at", metavar="TIME", help="Plan as of this local time, such as '2026-03-12 07:30'."
)
@click.option("--demo", "of_demo", is_flag=True, help="Plan the demo shop's day.")
@json_option
@database_option
@station_option
def plan(
    shop_file: str | None,
    at: str | None,
    of_demo: bool,
    as_json: bool,
    database: str,
    station: str,
) -> None:
    """Print who should do what when, from now on.

    Plans the shop in the database as it stands this minute; with --shop, a shop file alone.
    """
    shop, drawn_up = _plan(shop_file, at, of_demo, database, station)
    if as_json:
        print_json(drawn_up)
    else:
        print_plan(shop, drawn_up)


def _plan(
    shop_file: str | None, at: str | None, of_demo: bool, database: str, station: str
) -> tuple[Shop, Plan]:
    from floorboard.cli.moments import moment_of
    from floorboard.floor.clock import SystemClock
    from floorboard.floor.floor import Floor
    from floorboard.planning.planner import plan_shop
    from floorboard.shop.file import read_shop_file

    if of_demo:
        return _demo_plan(at)
    if shop_file is not None:
        shop = read_shop_file(Path(shop_file))
        now = moment_of(at, shop) if at else SystemClock().now()
        return shop, plan_shop(shop, Floor(), now)
    session = open_session(database, station)
    if at is not None:
        now = moment_of(at, session.shop)
        return session.shop, ShopPlanner().plan(session.shop, session.floor, now)
    return session.shop, session.replan()


def _demo_plan(at: str | None) -> tuple[Shop, Plan]:
    import tempfile

    from floorboard.cli.board import fill_demo
    from floorboard.cli.moments import moment_of

    with tempfile.TemporaryDirectory() as folder:
        store, start = fill_demo(Path(folder) / "demo.db")
        shop = store.shop()
        assert shop is not None
        now = moment_of(at, shop) if at else start
        drawn_up = ShopPlanner().plan(shop, store.floor(), now)
        store.close()
    return shop, drawn_up


def print_plan(shop: Shop, drawn_up: Plan) -> None:
    """Print a plan for people."""
    from floorboard.cli.plan_text import plan_lines

    for line in plan_lines(shop, drawn_up):
        click.echo(line)
