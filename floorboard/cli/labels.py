"""`floorboard labels`: labels for castings, on sheets to print."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from floorboard.cli.new_files import write_new
from floorboard.cli.options import database_option, demo_option

if TYPE_CHECKING:
    from floorboard.reports.label_sheet import Paper


@click.command()
@click.argument("file", type=click.Path(dir_okay=False))
@click.argument("serials", nargs=-1, metavar="[SERIAL]...")
@click.option("--day", metavar="DATE", help="Of the castings demolded on this local day.")
@click.option(
    "--letter", is_flag=True, help="On letter sheets of 30; on A4 sheets of 24 otherwise."
)
@click.option(
    "--skip",
    type=click.IntRange(0, 29),
    default=0,
    help="How many labels of the first sheet are used up already.",
)
@click.option("--force", is_flag=True, help="Write over a file that is there.")
@demo_option
@database_option
def labels(
    file: str,
    serials: tuple[str, ...],
    day: str | None,
    letter: bool,
    skip: int,
    force: bool,
    of_demo: bool,
    database: str,
) -> None:
    """Write a page of labels to the HTML file FILE: number, piece, mold, order, QR and Code 128.

    Of the castings named; with --day, of those demolded then; otherwise of all in progress. Print
    it without margins and at 100 %.
    """
    from floorboard.cli.moments import day_of
    from floorboard.cli.past import of_demo_or_database
    from floorboard.reports.label_sheet import label_sheet
    from floorboard.usecases.label_words import label_words

    chosen = day_of(day) if day else None
    with of_demo_or_database(database, of_demo=of_demo) as (shop, history, now):
        words = label_words(history, shop, now, serials, chosen)
        us = shop.shop.units == "us"
    if not words:
        raise click.ClickException("There is no casting to label.")
    paper: Paper = "letter" if letter or us else "A4"
    write_new(file, label_sheet(words, paper, skip).encode(), force=force)
