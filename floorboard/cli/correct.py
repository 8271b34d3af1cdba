"""`floorboard correct`: an over-pour put right."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from floorboard.cli.desk_options import desk_source, echo_all, percent_option, shop_file_option
from floorboard.cli.options import database_option, demo_option, json_option, print_json
from floorboard.cli.quantity_types import PairType, QuantityType
from floorboard.shop.names import key_called, keys_called
from floorboard.shop.quantities import Mass

if TYPE_CHECKING:
    from collections.abc import Iterator

    from floorboard.cli.desk_options import DeskSource
    from floorboard.mixing.batch import Batch
    from floorboard.mixing.correction import Correction

# Sums of grams differ by less.
LEAST_MORE_GRAMS = 1e-6


@click.command()
@click.argument("weighed", nargs=-1, type=PairType(Mass), metavar="[MATERIAL=WEIGHT]...")
@click.option("--batch", "serial", metavar="SERIAL", help="A batch on the floor, as logged so far.")
@click.option("--mix", metavar="MIX", help="A mix, with --amount, and what was weighed so far.")
@click.option("--amount", type=QuantityType(Mass), metavar="WEIGHT", help="What was to be applied.")
@percent_option
@shop_file_option
@demo_option
@json_option
@database_option
def correct(
    weighed: tuple[tuple[str, float], ...],
    serial: str | None,
    mix: str | None,
    amount: float | None,
    percents: tuple[tuple[str, float], ...],
    shop_file: str | None,
    of_demo: bool,
    as_json: bool,
    database: str,
) -> None:
    """Say what brings the ratio back after an over-pour, or that the batch is lost.

    Name what is in the bucket so far; what is not named has not gone in yet.

    \b
    floorboard correct --mix shell --amount "646 g" binder="212 g"
    floorboard correct --batch B260312-04
    floorboard correct --batch B260312-04 binder="212 g"       with what is not logged yet
    """
    source = desk_source(shop_file, database, of_demo=of_demo)
    if (serial is None) == (mix is None or amount is None):
        raise click.UsageError("Name a batch with --batch, or a mix with --mix and --amount.")
    if serial is not None:
        batch, there = _on_floor(source, serial)
    else:
        from floorboard.usecases.asked_ticket import TicketWishes, ticket_for_amount

        wishes = TicketWishes(percents=keys_called(source.shop.materials, percents) or None)
        assert mix is not None
        assert amount is not None
        batch, there = ticket_for_amount(source.shop, mix, amount, wishes).batch, {}
    found = _corrected(source, batch, there, weighed)
    if as_json:
        print_json(found)
        return
    echo_all(correction_lines(source, found))


def _on_floor(source: DeskSource, serial: str) -> tuple[Batch, dict[int, float]]:
    from floorboard.usecases.batch_in_hand import batch_in_hand

    if source.store is None:
        raise click.UsageError("A batch on the floor is in the database, not in a shop file.")
    in_hand = batch_in_hand(source.store, source.shop, source.floor, serial)
    if in_hand is None:
        names = ", ".join(batch.serial for batch in source.floor.open_batches())
        raise click.ClickException(
            f"No batch {serial} is in hand; expected one of: {names or 'none just now'}."
        )
    return in_hand.ticket.batch, in_hand.making.by_place()


def _corrected(
    source: DeskSource,
    batch: Batch,
    there: dict[int, float],
    weighed: tuple[tuple[str, float], ...],
) -> Correction:
    from floorboard.mixing.correction import correct as put_right

    places = {one.material: one.place for one in batch.additions}
    for said, grams in weighed:
        material = key_called(source.shop.materials, said)
        if material not in places:
            raise click.ClickException(
                f"{said} is not in this batch; expected one of: {', '.join(places)}."
            )
        there[places[material]] = grams
    return put_right(batch, there, tolerance_percent=float(source.shop.shop.scale_tolerance))


def correction_lines(source: DeskSource, found: Correction) -> Iterator[str]:
    """Yield a correction for people: what is over, what to add, or that it is lost."""
    from floorboard.shop.units import show_grams
    from floorboard.usecases.batch_ticket import in_shop_units

    yield from (in_shop_units(source.shop, sentence) for sentence in found.sentences)
    for one in found.top_ups:
        more = show_grams(source.shop, one.add_grams)
        yield (
            f"  {one.name:<26} add {more:>10}   comes to "
            f"{show_grams(source.shop, one.comes_to_grams):>10}"
        )
    grown = found.fits and found.more_grams > LEAST_MORE_GRAMS
    if grown:
        yield (
            f"The batch comes to {show_grams(source.shop, found.made_grams)}, "
            f"{show_grams(source.shop, found.more_grams)} more than asked."
        )
    # Where nothing is over, adding the rest and leaving it are the same.
    if grown and found.can_be_left:
        yield "Or leave it: with the rest as on the ticket, it stays within its limits."
