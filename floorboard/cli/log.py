"""`floorboard log`: the log as lines or JSON."""

from __future__ import annotations

from zoneinfo import ZoneInfo

import click

from floorboard.cli.desk_options import shop_store
from floorboard.cli.options import database_option, demo_option, json_option, print_json

# Entries a search looks through, the latest first.
MOST_SEARCHED = 20_000


@click.command()
@click.option(
    "--last",
    type=click.IntRange(1, 100_000),
    default=50,
    show_default=True,
    help="How many entries.",
)
@click.option("--casting", metavar="SERIAL", help="Only entries that name this casting.")
@click.option("--find", "wanted", metavar="TEXT", help="Only entries whose line holds these words.")
@demo_option
@json_option
@database_option
def log(
    last: int,
    casting: str | None,
    wanted: str | None,
    of_demo: bool,
    as_json: bool,
    database: str,
) -> None:
    """Print the log, newest entries last. Struck entries are shown, and said to be struck."""
    from floorboard.screens.floor_screen.log_pane import log_line
    from floorboard.usecases.log_search import searcher
    from floorboard.usecases.named_castings import NamedCastings

    store, _ = shop_store(database, of_demo=of_demo)
    shop = store.shop()
    assert shop is not None
    reach = MOST_SEARCHED if wanted else last
    entries = store.of_casting(casting)[-reach:] if casting else store.latest(reach)[::-1]
    if casting and not entries:
        raise click.ClickException(
            f"The log has no casting {casting}. Its number stands on the board, such as 260312-04."
        )
    zone, castings = ZoneInfo(shop.shop.zone), NamedCastings(store.casting)
    lines = [(entry, log_line(entry, shop, castings, zone)) for entry in entries]
    if wanted:
        holds = searcher(wanted)
        lines = [(entry, line) for entry, line in lines if holds(line)][-last:]
    if as_json:
        print_json([entry.model_dump(mode="json") for entry, _ in lines])
        return
    for entry, line in lines:
        click.echo(f"{entry.seq:>6}  {entry.at.astimezone(zone):%Y-%m-%d} {line}")
