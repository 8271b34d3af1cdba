"""`floorboard shop`: check, load or save the shop's definitions."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path

import click

from floorboard.cli.compose import open_database
from floorboard.cli.options import (
    database_option,
    default_database,
    json_option,
    print_json,
    shown_name,
    station_option,
)


@click.group()
def shop() -> None:
    """Check, load or save the shop's definitions: people, materials, mixes, pieces, molds, orders."""


@shop.command()
@click.argument("file", type=click.Path(exists=True, dir_okay=False))
@json_option
def check(file: str, as_json: bool) -> None:
    """Say whether a shop file is right, and everything that is wrong with it if not.

    Exit status 0 if it is right, 1 if not.
    """
    from floorboard.shop.counted import counted
    from floorboard.shop.errors import ShopFileError
    from floorboard.usecases.check_shop import read_checked_shop

    try:
        found = read_checked_shop(Path(file))
    except ShopFileError as error:
        if as_json:
            print_json([asdict(problem) for problem in error.problems])
        else:
            click.echo(str(error), err=True)
        raise click.exceptions.Exit(1) from None
    if as_json:
        print_json([])
        return
    click.echo(
        f"{file} is right: {counted(len(found.people), 'person', 'people')}, "
        f"{counted(len(found.molds), 'mold')}, {counted(len(found.pieces), 'piece')}, "
        f"{counted(len(found.mixes), 'mix', 'mixes')}, {counted(len(found.orders), 'order')}."
    )


@shop.command()
@click.argument("file", type=click.Path(exists=True, dir_okay=False))
@database_option
@station_option
def load(file: str, database: str, station: str) -> None:
    """Load a shop file into the database. Castings already begun keep the build they began with.

    A file with a mistake is refused whole; the database keeps the shop it had.
    """
    from floorboard.floor.clock import SystemClock
    from floorboard.usecases.check_shop import read_checked_shop

    found = read_checked_shop(Path(file))
    store = open_database(database)
    now = SystemClock().now()
    store.load_shop(found, source=shown_name(Path(file)), at=now, person=None, station=station)
    opens = "floorboard" if database == default_database() else f"floorboard --database {database}"
    click.echo(f"Loaded {found.shop.name} into {database}. Open the board with: {opens}")


@shop.command()
@click.argument("file", type=click.Path(dir_okay=False))
@click.option("--force", is_flag=True, help="Write over a file that is there.")
@database_option
def save(file: str, force: bool, database: str) -> None:
    """Save the shop in the database as a file a person can edit."""
    from floorboard.shop.file import write_shop

    store = open_database(database, read_only=True)
    found = store.shop()
    if found is None:
        raise click.ClickException("The database holds no shop yet, so there is nothing to save.")
    path = Path(file)
    if path.exists() and not force:
        raise click.ClickException(f"{file} is there already. Use --force to write over it.")
    path.write_text(write_shop(found), encoding="utf-8")
    click.echo(f"Saved {found.shop.name} to {file}.")
