"""`floorboard finishing`: what is out of the molds, drying, waiting and ready."""

from __future__ import annotations

import click

from floorboard.cli.options import database_option, demo_option, json_option, print_json


@click.command()
@demo_option
@json_option
@database_option
def finishing(of_demo: bool, as_json: bool, database: str) -> None:
    """Print the finishing queue: every casting out of its mold, its next step and what it waits for.

    Says whether the air allows coating, which castings their weighings show to be dry and when
    the others will be, and which can share a session.
    """
    from floorboard.cli.past import floor_of_demo_or_database
    from floorboard.records.finishing_queue import finishing_queue
    from floorboard.usecases.finishing_text import finishing_lines

    shop, floor, now = floor_of_demo_or_database(database, of_demo=of_demo)
    queue = finishing_queue(shop, floor, now)
    if as_json:
        print_json(queue)
        return
    for line in finishing_lines(queue, shop):
        click.echo(line)
