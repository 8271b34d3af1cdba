"""`floorboard layers`: how many layers the materials on hand make."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from floorboard.cli.desk_options import desk_source, percent_option, shop_file_option
from floorboard.cli.options import database_option, demo_option, json_option, print_json
from floorboard.cli.quantity_types import PairType
from floorboard.shop.counted import counted
from floorboard.shop.names import keys_called
from floorboard.shop.quantities import Mass

if TYPE_CHECKING:
    from floorboard.cli.desk_options import DeskSource
    from floorboard.shop.mixes import Mix


@click.command()
@click.argument("layer", metavar="PIECE:LAYER")
@click.option(
    "--have",
    multiple=True,
    type=PairType(Mass),
    metavar="MATERIAL=WEIGHT",
    help="What is left of a material; without it, what the stock has. May be repeated.",
)
@percent_option
@shop_file_option
@demo_option
@json_option
@database_option
def layers(
    layer: str,
    have: tuple[tuple[str, float], ...],
    percents: tuple[tuple[str, float], ...],
    shop_file: str | None,
    of_demo: bool,
    as_json: bool,
    database: str,
) -> None:
    """Say how many layers can be made from what is left.

    \b
    floorboard layers owl:2 --have plaster="740 g"
    floorboard layers owl:2                            from the stock on hand
    """
    from floorboard.mixing.backwards import layers_from
    from floorboard.shop.units import show_grams
    from floorboard.usecases.asked_ticket import TicketWishes, ticket_for_layers

    source = desk_source(shop_file, database, of_demo=of_demo)
    materials = source.shop.materials
    wished = keys_called(materials, percents) or None
    ticket = ticket_for_layers(source.shop, source.floor, [layer], TicketWishes(percents=wished))
    mix, grams = source.shop.mixes[ticket.mix_id], ticket.servings[0].grams
    on_hand = keys_called(materials, have) or _in_stock(source, mix)
    if not on_hand:
        raise click.ClickException(
            "No material of this mix is kept account of; say what there is with --have."
        )
    found = layers_from(mix, materials, on_hand, grams, wished)
    if as_json:
        print_json(found)
        return
    name = materials[found.runs_out].name
    click.echo(
        f"{counted(found.layers, 'layer')} of {show_grams(source.shop, grams)} ({mix.name}); "
        f"then {name} runs out."
    )
    if found.full_batches:
        full = counted(found.full_batches, "full batch", "full batches")
        click.echo(f"  {full} of {counted(found.layers_a_batch, 'layer')}")
    if found.layers_last:
        click.echo(f"  {'and ' if found.full_batches else ''}a last batch of {found.layers_last}")
    for material, left in found.left_grams.items():
        click.echo(f"  {show_grams(source.shop, left)} of {material} left over")


def _in_stock(source: DeskSource, mix: Mix) -> dict[str, float]:
    if source.store is None:
        return {}
    from floorboard.usecases.stock_book import StockBook

    book = StockBook(source.store.stock)
    kept = {lot.material for lot in book.lots(source.shop)}
    names = [part.material for part in mix.parts] + [one.material for one in mix.additives]
    return {
        name: book.on_hand_grams(source.shop, name, source.now)
        for name in dict.fromkeys(names)
        if name in kept
    }
