"""`floorboard molds`: pulls, care, wear, and when to order a new mold."""

from __future__ import annotations

import click

from floorboard.cli.options import database_option, demo_option, json_option, print_json


@click.command()
@click.option(
    "--lead-days",
    type=click.IntRange(0, 365),
    default=14,
    show_default=True,
    help="From ordering a mold until it can be used.",
)
@demo_option
@json_option
@database_option
def molds(lead_days: int, of_demo: bool, as_json: bool, database: str) -> None:
    """Print every mold: pulls, care due, wear, what is left in it, and when to order a new one.

    What is left comes from the molds like it that wore out, as the log has them, and from the
    shop's own limit. A mold counts as worn out if it was taken out of service as such; where the
    log does not say why, only if it had made the pulls it is to be retired at.
    """
    from floorboard.cli.past import of_demo_or_database
    from floorboard.usecases.molds import take_molds
    from floorboard.usecases.molds_text import mold_report_lines

    with of_demo_or_database(database, of_demo=of_demo) as (shop, history, now):
        report = take_molds(history, shop, now, lead_days)
    if as_json:
        print_json(report)
        return
    for line in mold_report_lines(report, shop):
        click.echo(line)
