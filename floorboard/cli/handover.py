"""`floorboard handover`: the note for whoever comes next."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from floorboard.cli.desk_options import desk_session
from floorboard.cli.new_files import write_new
from floorboard.cli.options import (
    database_option,
    demo_option,
    json_option,
    print_json,
    station_option,
)

if TYPE_CHECKING:
    from pathlib import Path

    from floorboard.usecases.handover import Handover
    from floorboard.usecases.session import Session


@click.command()
@click.option("--html", metavar="FILE", help="Write it as a page to print.")
@click.option("--force", is_flag=True, help="Write over a file that is there.")
@demo_option
@json_option
@database_option
@station_option
def handover(
    html: str | None, force: bool, of_demo: bool, as_json: bool, database: str, station: str
) -> None:
    """Print the handover note: what is in which mold, what comes first and by when, what ran short."""
    session = desk_session(database, station, of_demo=of_demo)
    note = _note(session)
    if html is not None:
        from floorboard.reports.handover_page import handover_page

        paper = "letter" if session.shop.shop.units == "us" else "A4"
        write_new(html, handover_page(note, paper).encode(), force=force)
    elif as_json:
        print_json(note)
    else:
        from floorboard.usecases.handover_text import handover_lines

        for line in handover_lines(note):
            click.echo(line)


def _note(session: Session) -> Handover:
    from floorboard.store.history import History
    from floorboard.usecases.handover import handover_note
    from floorboard.usecases.stock_notes import committed_grams
    from floorboard.usecases.tally import take_tally
    from floorboard.usecases.tally_stretch import of_shift

    shop, floor, now = session.shop, session.floor, session.now
    plan = session.replan()
    taken = committed_grams(shop, floor, plan)
    stretch, title = of_shift(shop, now)
    path: Path = session.store.path  # type: ignore[attr-defined]
    with History(path) as history:
        tally = take_tally(history, shop, stretch, title)
    return handover_note(
        shop,
        floor,
        plan,
        tally,
        session.book.lines(shop, taken, now, plan.until),
        session.store.between(stretch.start, stretch.end),
        now,
    )
