"""`floorboard quality`: weights, walls, defects and yields."""

from __future__ import annotations

import click

from floorboard.cli.options import database_option, demo_option, json_option, print_json

DAYS = 180


@click.command()
@click.option(
    "--from", "first", metavar="DATE", help=f"First day; {DAYS} days before the last by default."
)
@click.option("--to", "last", metavar="DATE", help="Last day; today by default.")
@click.option(
    "--baseline",
    type=click.IntRange(5, 200),
    default=25,
    show_default=True,
    help="How many of the first weights set a chart's limits.",
)
@demo_option
@json_option
@database_option
def quality(
    first: str | None,
    last: str | None,
    baseline: int,
    of_demo: bool,
    as_json: bool,
    database: str,
) -> None:
    """Print what the weights, walls, inspections and yields say, in words and in figures.

    Weights at demold are judged by control charts: single weights with run rules, and their
    moving average. Yields come with 95 % intervals; groups of a handful are not compared.
    """
    import datetime as dt

    from floorboard.cli.moments import day_of
    from floorboard.cli.past import of_demo_or_database
    from floorboard.shop.calendar import shop_day
    from floorboard.usecases.quality import take_quality
    from floorboard.usecases.quality_text import quality_lines

    with of_demo_or_database(database, of_demo=of_demo) as (shop, history, now):
        end = day_of(last) if last else shop_day(now, shop.shop.zone).date
        begin = day_of(first) if first else end - dt.timedelta(days=DAYS - 1)
        if end < begin:
            raise click.BadParameter(f"the range ends on {end}, before it begins on {begin}")
        report = take_quality(history, shop, begin, end, baseline)
    if as_json:
        print_json(report)
        return
    for line in quality_lines(report):
        click.echo(line)
