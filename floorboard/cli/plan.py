"""`floorboard plan`: who should do what when."""

from __future__ import annotations

import click

from floorboard.cli.options import database_option, json_option, print_json
from floorboard.cli.shop_source import at_option, demo_option, shop_option, standing_shop


@click.command()
@shop_option
@at_option
@demo_option
@click.option(
    "--seconds",
    type=click.FloatRange(0, 3600),
    default=0.0,
    show_default=True,
    help="Look for a better plan for so long.",
)
@json_option
@database_option
def plan(
    shop_file: str | None,
    at: str | None,
    of_demo: bool,
    seconds: float,
    as_json: bool,
    database: str,
) -> None:
    """Print who should do what when, from now on.

    Plans the shop in the database as it stands this minute; with --shop, a shop file alone.
    """
    from floorboard.cli.plan_text import plan_lines
    from floorboard.planning.planner import plan_shop

    standing = standing_shop(database, shop_file=shop_file, at=at, of_demo=of_demo)
    drawn_up = plan_shop(standing.shop, standing.floor, standing.now)
    if seconds > 0:
        from floorboard.planning.improve import Improver

        improver = Improver()
        improver.start(standing.shop, standing.floor, standing.now, drawn_up, seconds=seconds)
        while (better := improver.wait(seconds + 5)) is not None:
            drawn_up = better
        improver.close()
    drawn_up = standing.told(drawn_up)
    if as_json:
        print_json(drawn_up)
        return
    for line in plan_lines(standing.shop, drawn_up):
        click.echo(line)
