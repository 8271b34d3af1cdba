"""`floorboard promise`: when so many of a piece can be promised, and what binds the date."""

from __future__ import annotations

from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import click

from floorboard.cli.options import database_option, json_option, print_json
from floorboard.cli.shop_source import (
    at_option,
    demo_option,
    piece_called,
    shop_option,
    standing_shop,
)

if TYPE_CHECKING:
    from floorboard.planning.promise import Promise
    from floorboard.shop.shop import Shop


@click.command()
@click.argument("piece")
@click.argument("quantity", type=click.IntRange(1, 100_000))
@click.option("--quick", is_flag=True, help="Only the date; do not find out what binds it.")
@shop_option
@at_option
@demo_option
@json_option
@database_option
def promise(
    piece: str,
    quantity: int,
    quick: bool,
    shop_file: str | None,
    at: str | None,
    of_demo: bool,
    as_json: bool,
    database: str,
) -> None:
    """Say when QUANTITY of PIECE can be promised, after all orders already taken.

    The days ahead are planned one by one: shifts and breaks, overnight cures, drying, rack places.
    Then it is asked again with one more pair of hands, one more mold, no drying, and material
    enough: what brings the date forward is what binds it.
    """
    from floorboard.planning.promise import promise as answer

    standing = standing_shop(database, shop_file=shop_file, at=at, of_demo=of_demo)
    piece = piece_called(standing.shop, piece)
    found = answer(standing.shop, standing.floor, standing.now, piece, quantity, explain=not quick)
    if as_json:
        print_json(found)
        return
    for line in promise_lines(standing.shop, found):
        click.echo(line)


def promise_lines(shop: Shop, found: Promise) -> list[str]:
    """Return the answer as lines."""
    name = shop.pieces[found.piece].name
    if found.ready_at is None:
        lines = [f"{found.quantity} x {name}: not within the days looked at."]
    else:
        ready = found.ready_at.astimezone(ZoneInfo(shop.shop.zone))
        lines = [f"{found.quantity} x {name}: {ready:%A %d %B %Y}, ready at {ready:%H:%M}."]
    lines += [f"  {bind.what}: {bind.sentence}" for bind in found.binds]
    for short in found.shortages:
        lines.append(
            f"  {short.material}: {short.needed_grams / 1000:.1f} kg are needed and "
            f"{short.on_hand_grams / 1000:.1f} kg on hand, enough for {short.castings_covered}."
        )
    return [*lines, *(f"  {note}" for note in found.notes)]
