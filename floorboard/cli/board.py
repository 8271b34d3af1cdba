"""Open the board: on the shop's database, or on the demo shop in a throw-away one."""

from __future__ import annotations

import gc
import sys
import tempfile
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from floorboard.cli.board_options import board_options, board_settings
from floorboard.cli.look_ahead import LookAhead, look_at_database
from floorboard.cli.options import light_option
from floorboard.cli.run_board import run_board
from floorboard.floor.clock import FastClock, SystemClock
from floorboard.screens.first_look import Opening

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Callable

    from floorboard.screens.first_look import FirstLook
    from floorboard.screens.settings import BoardSettings
    from floorboard.store.sqlite_store import SqliteStore
    from floorboard.usecases.session import Session

DEMO_SPEED = 1.0


def open_board(
    database: str,
    *,
    station: str,
    light: bool,
    ascii_only: bool,
    settings: Callable[[], BoardSettings],
) -> None:
    """Open the board on the shop's database, with settings that are read meanwhile."""
    watched = Path(database).expanduser()
    ahead = None
    if watched.is_file():
        # What is made while starting stays: collecting it meanwhile only costs. The board turns it on.
        gc.disable()
        ahead = LookAhead(partial(look_at_database, database))
    # Reading them loads the first part of the screen.
    read = settings()
    look = ahead.take() if ahead is not None else None
    if look is None:
        session = session_or_guide(database, station=station, light=light)
        if session is None:
            return
        opening = Opening(None, lambda: session)
    else:
        opening = Opening(look, partial(_open_session, database, station))
    run_board(opening, light=light, ascii_only=ascii_only, settings=read, watched=watched)


def _open_session(database: str, station: str) -> Session:
    # The session is imported after the first frame.
    from floorboard.cli.compose import open_session

    return open_session(database, station)


def session_or_guide(database: str, *, station: str, light: bool) -> Session | None:
    """Open a session; a newcomer is guided to a first shop before, and may leave: then None."""
    from floorboard.cli.compose import open_session
    from floorboard.usecases.session import NoShop

    try:
        return open_session(database, station)
    except NoShop as nothing:
        if not sys.stdin.isatty():
            raise click.ClickException(
                f"{nothing}\nOr look round first with: floorboard demo"
            ) from None
        return guide(database, station=station, light=light)


def guide(database: str, *, station: str, light: bool) -> Session | None:
    """Guide a newcomer to a first shop and load it; return None if they leave."""
    from floorboard.screens.setup_screen.guide_app import GuideApp

    shop = GuideApp(local_zone(), light=light).run()
    if shop is None:
        return None
    from floorboard.cli.compose import open_database, open_session

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
@click.option(
    "--keep",
    metavar="FILE",
    help="Keep the demo's database in this new file; opened later, it runs on this machine's clock.",
)
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
    with tempfile.TemporaryDirectory(prefix="floorboard-demo-") as folder:
        path = Path(keep) if keep else Path(folder) / "demo.db"
        if path.exists():
            raise click.ClickException(f"{path} is there already. Name a new file.")
        gc.disable()
        ahead = LookAhead(partial(look_at_demo, path))
        settings = board_settings(confirm_key, call_command, scale)
        look = ahead.take()
        opening = Opening(look, partial(_demo_session, path, look, speed))
        run_board(opening, light=light, ascii_only=ascii_only, settings=settings)
    if keep:
        click.echo(
            f"Kept in {path}; open it with: floorboard --database {path}\n"
            "There it runs on this machine's clock, so what stands in its molds has waited since."
        )


def look_at_demo(path: Path) -> FirstLook:
    """Make the demo's database and return what is seen of its floor."""
    from floorboard.screens.first_look import first_look

    store, start = fill_demo(path)
    with store:
        shop = store.shop()
        assert shop is not None
        return first_look(shop, store.floor(), start)


def _demo_session(path: Path, look: FirstLook | None, speed: float) -> Session:
    from floorboard.cli.compose import ShopPlanner
    from floorboard.store.sqlite_store import open_store
    from floorboard.usecases.session import Session

    if look is not None:
        store, start = open_store(path), look.at
    else:
        # A look that failed may have left a database half filled.
        for ending in ("", "-wal", "-shm"):
            path.with_name(path.name + ending).unlink(missing_ok=True)
        store, start = fill_demo(path)
    return Session(store, ShopPlanner(), FastClock(start, speed), "demo")


def fill_demo(path: Path) -> tuple[SqliteStore, dt.datetime]:
    """Make the demo's database and return it with the moment its clock starts at."""
    from floorboard.store.sqlite_store import open_store
    from floorboard.usecases.demo_day import load_demo

    store = open_store(path)
    with store.filling():
        start = load_demo(store)
    return store, start
