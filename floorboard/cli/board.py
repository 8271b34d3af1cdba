"""Open the board: on the shop's database, or on the demo shop in a throw-away one."""

from __future__ import annotations

import gc
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

import click

from floorboard.cli.board_options import board_options, board_settings
from floorboard.cli.compose import ShopPlanner, open_database, open_session
from floorboard.cli.options import light_option
from floorboard.cli.run_board import run_board
from floorboard.floor.clock import SystemClock
from floorboard.usecases.session import NoShop, Session

if TYPE_CHECKING:
    import datetime as dt

    from floorboard.screens.settings import BoardSettings
    from floorboard.store.sqlite_store import SqliteStore

DEMO_SPEED = 1.0


def open_board(
    database: str, *, station: str, light: bool, ascii_only: bool, settings: BoardSettings
) -> None:
    """Open the board on the shop's database."""
    # What is made while starting stays: collecting it meanwhile only costs. The app turns it on.
    gc.disable()
    try:
        session = open_session(database, station)
    except NoShop as nothing:
        if not sys.stdin.isatty():
            raise click.ClickException(
                f"{nothing}\nOr look round first with: floorboard demo"
            ) from None
        guided = guide(database, station=station, light=light)
        if guided is None:
            return
        session = guided
    watched = Path(database).expanduser()
    try:
        run_board(session, light=light, ascii_only=ascii_only, settings=settings, watched=watched)
    finally:
        # So that the one file holds everything, for whoever copies it.
        session.store.close()


def guide(database: str, *, station: str, light: bool) -> Session | None:
    """Guide a newcomer to a first shop and load it; return None if they leave."""
    from floorboard.screens.setup_screen.guide_app import GuideApp

    shop = GuideApp(local_zone(), light=light).run()
    if shop is None:
        return None
    store = open_database(database)
    now = SystemClock().now()
    store.load_shop(shop, source="first-run guide", at=now, person=None, station=station)
    store.close()
    return open_session(database, station)


def local_zone() -> str:
    """Return this machine's time zone by name, or UTC if it has none."""
    from pendulum.tz import local_timezone

    return str(local_timezone().name) or "UTC"


@click.command()
@click.option(
    "--speed",
    type=click.FloatRange(0.1, 600),
    default=DEMO_SPEED,
    show_default=True,
    help="How many times faster than real time the demo's clock runs.",
)
@light_option
@click.option("--ascii", "ascii_only", is_flag=True, help="Draw with ASCII characters only.")
@click.option("--keep", metavar="FILE", help="Keep the demo's database in this new file.")
@board_options
def demo(
    speed: float,
    light: bool,
    ascii_only: bool,
    keep: str | None,
    confirm_key: str,
    call_command: str,
    scale: str,
) -> None:
    """Open the board on the demo shop, an ordinary day part-way through.

    Nothing you do here is kept, unless you ask for it with --keep. Try: Enter to log what the
    panel says, a mold's number to choose it, - to strike the last entry, ? for all keys.
    """
    settings = board_settings(confirm_key, call_command, scale)
    with tempfile.TemporaryDirectory(prefix="floorboard-demo-") as folder:
        path = Path(keep) if keep else Path(folder) / "demo.db"
        if path.exists():
            raise click.ClickException(f"{path} is there already. Name a new file.")
        store, start = fill_demo(path)
        from floorboard.floor.clock import FastClock

        session = Session(store, ShopPlanner(), FastClock(start, speed), "demo")
        try:
            run_board(session, light=light, ascii_only=ascii_only, settings=settings)
        finally:
            store.close()


def fill_demo(path: Path) -> tuple[SqliteStore, dt.datetime]:
    """Make the demo's database and return it with the moment its clock starts at."""
    from floorboard.store.sqlite_store import open_store
    from floorboard.usecases.demo_day import load_demo

    store = open_store(path)
    with store.filling():
        start = load_demo(store)
    return store, start
