"""`floorboard times`: how long tasks take by the log, and which times the planner uses."""

from __future__ import annotations

import click

from floorboard.cli.options import (
    database_option,
    demo_option,
    json_option,
    print_json,
    station_option,
)


@click.command()
@click.option("--own", metavar="TASK", help="From now on plan this task with the shop's own time.")
@click.option("--learned", metavar="TASK", help="From now on plan this task with the time learned.")
@click.option(
    "--days",
    type=click.IntRange(1, 3650),
    default=90,
    show_default=True,
    help="How many of the last days to look at.",
)
@demo_option
@json_option
@database_option
@station_option
def times(
    own: str | None,
    learned: str | None,
    days: int,
    of_demo: bool,
    as_json: bool,
    database: str,
    station: str,
) -> None:
    """Print how long tasks take by the log, what the planner uses and why.

    The planner uses what most logged times keep to, once there are enough. Forgotten and double
    key presses are set aside. Tell it no with --own and the task's name in quotes, as the first
    column has it.
    """
    from floorboard.cli.past import of_demo_or_database
    from floorboard.usecases.times import take_times
    from floorboard.usecases.times_text import times_lines

    if own or learned:
        if of_demo:
            # The demo's log is thrown away: the decision would go into the shop's own instead.
            raise click.UsageError(
                "--own and --learned are kept in the shop's log; leave --demo out to decide."
            )
        _decide(database, station, own, learned)
        return
    with of_demo_or_database(database, of_demo=of_demo) as (shop, history, now):
        report = take_times(history, shop, now, days)
    if as_json:
        print_json(report)
        return
    for line in times_lines(report):
        click.echo(line)


def _decide(database: str, station: str, own: str | None, learned: str | None) -> None:
    from floorboard.cli.compose import open_database
    from floorboard.floor.clock import SystemClock
    from floorboard.usecases.changes import Hand
    from floorboard.usecases.session import NoShop
    from floorboard.usecases.times import decide

    now = SystemClock().now()
    with open_database(database) as store:
        shop = store.shop()
        if shop is None:
            raise NoShop("The database holds no shop yet. Load one with: floorboard shop load FILE")
        hand = Hand(None, station, now, now)
        if own:
            decide(store, shop, hand, own, "stated")
            click.echo(f"From now on {own} is planned with the shop's own time.")
        if learned:
            decide(store, shop, hand, learned, "learned")
            click.echo(f"From now on {learned} is planned with the time learned from the log.")
