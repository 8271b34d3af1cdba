"""`floorboard export`: the whole history as plain tables."""

from __future__ import annotations

from itertools import chain
from pathlib import Path

import click

from floorboard.cli.options import database_option, demo_option


@click.command()
@click.argument("target", type=click.Path())
@click.option(
    "--parquet", is_flag=True, help="Write a folder of Parquet files, one a table, not SQLite."
)
@click.option("--site", metavar="NAME", help="What this shop is called in the first column.")
@click.option("--force", is_flag=True, help="Write over what is there.")
@demo_option
@database_option
def export(
    target: str, parquet: bool, site: str | None, force: bool, of_demo: bool, database: str
) -> None:
    """Write the whole history as plain tables into the SQLite file TARGET.

    Castings, works, batches, weighings, stock, readings, flags, the log itself and the shop's
    definitions. Times are UTC. Every row carries the site's name, so that the files of several
    shops can be read together.
    """
    from floorboard.cli.past import of_demo_or_database
    from floorboard.usecases.definition_tables import definition_tables

    path = Path(target).expanduser()
    taken = any(path.iterdir()) if parquet and path.is_dir() else path.exists()
    if taken and not force:
        raise click.ClickException(f"{path} is there already. Use --force to write over it.")
    with of_demo_or_database(database, of_demo=of_demo) as (shop, history, _):
        name = site or shop.shop.name
        if path.resolve() == history.path.resolve():
            raise click.ClickException(f"{path} is the shop's own database. Name another file.")
        tables = chain(definition_tables(shop, name), history.plain_tables(name))
        if parquet:
            from floorboard.reports.plain_parquet import write_parquet

            counts = write_parquet(path, tables)
        else:
            from floorboard.store.plain_database import write_plain_database

            counts = write_plain_database(path, tables)
    rows = ", ".join(f"{table} {count}" for table, count in counts.items())
    click.echo(f"Wrote {path}: {rows}.")
