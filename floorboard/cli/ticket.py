"""`floorboard ticket`: what to weigh for a batch, and the reading to reach after each addition."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from floorboard.cli.desk_options import (
    desk_source,
    percent_option,
    shop_file_option,
    temperature_option,
)
from floorboard.cli.options import database_option, demo_option, json_option, print_json
from floorboard.cli.quantity_types import PairType, QuantityType
from floorboard.shop.names import keys_called
from floorboard.shop.quantities import Area, Length, Mass

if TYPE_CHECKING:
    from floorboard.cli.desk_options import DeskSource
    from floorboard.mixing.ticket import Ticket
    from floorboard.usecases.asked_ticket import TicketWishes


@click.command()
@click.argument("layers", nargs=-1, metavar="[LAYER]...")
@click.option("--mix", metavar="MIX", help="A mix instead of layers; say how much with the next.")
@click.option("--amount", type=QuantityType(Mass), metavar="WEIGHT", help="So much to apply.")
@click.option("--area", type=QuantityType(Area), metavar="AREA", help="Cover this area, ...")
@click.option("--mesh", metavar="FILE", help="... or the surface of this STL or OBJ file, ...")
@click.option("--mesh-unit", default="mm", show_default=True, help="Unit of the mesh: mm cm m in.")
@click.option("--thickness", type=QuantityType(Length), metavar="LENGTH", help="... so thick.")
@click.option(
    "--with",
    "with_",
    type=PairType(Mass),
    metavar="MATERIAL=WEIGHT",
    help="The batch that takes so much of one material, such as 'plaster=500 g'.",
)
@percent_option
@click.option("--times", type=float, default=1.0, metavar="NUMBER", help="Scale up or down.")
@click.option(
    "--like",
    metavar="WEIGHT|last",
    help="Layers that add up to a good casting of this weight; 'last' takes the last one weighed.",
)
@click.option(
    "--tare",
    type=QuantityType(Mass),
    default=0.0,
    metavar="WEIGHT",
    help="What the scale shows with the empty bucket on it.",
)
@click.option(
    "--resolution", type=QuantityType(Mass), metavar="WEIGHT", help="The scale's smallest step."
)
@temperature_option
@click.option("--html", metavar="FILE", help="Write the ticket to this file, to print.")
@shop_file_option
@demo_option
@json_option
@database_option
def ticket(
    layers: tuple[str, ...],
    mix: str | None,
    amount: float | None,
    area: float | None,
    mesh: str | None,
    mesh_unit: str,
    thickness: float | None,
    with_: tuple[str, float] | None,
    percents: tuple[tuple[str, float], ...],
    times: float,
    like: str | None,
    tare: float,
    resolution: float | None,
    temperature: float | None,
    html: str | None,
    shop_file: str | None,
    of_demo: bool,
    as_json: bool,
    database: str,
) -> None:
    """Print what to weigh for one batch, in order, with the reading to reach after each.

    LAYER is a mold's number, a casting's serial number or a piece, and after a colon the layer,
    counted from 1. Without it the layer that casting waits for. Several share the batch.

    \b
    floorboard ticket 3 5                        molds 3 and 5, the layers they wait for
    floorboard ticket owl:2 lamp-base:2 --times 0.5
    floorboard ticket --mix shell --amount "740 g" --percent accelerator-stock=2
    floorboard ticket --mix face --area "1800 cm2" --thickness "1.5 mm"
    """
    from floorboard.usecases.asked_ticket import TicketWishes

    source = desk_source(shop_file, database, of_demo=of_demo)
    wishes = TicketWishes(
        percents=keys_called(source.shop.materials, percents) or None,
        times=times,
        casting_grams=_casting_grams(source, like, layers),
        tare_grams=tare,
        resolution_grams=resolution,
        temperature=source.celsius(temperature),
    )
    if bool(layers) == (mix is not None):
        raise click.UsageError(
            "Name the layers, such as 'owl:2' or a mold's number, or a mix with --mix."
        )
    if mix is None:
        from floorboard.usecases.asked_ticket import ticket_for_layers

        found = ticket_for_layers(source.shop, source.floor, layers, wishes)
    else:
        covered = _covered(source, mix, area, mesh, mesh_unit, thickness)
        found = _of_mix(source, mix, amount if covered is None else covered, with_, wishes)
    _show(source, found, html, as_json)


def _of_mix(
    source: DeskSource,
    mix: str,
    amount: float | None,
    with_: tuple[str, float] | None,
    wishes: TicketWishes,
) -> Ticket:
    from floorboard.usecases.asked_ticket import ticket_for_amount, ticket_with

    if (amount is None) == (with_ is None):
        raise click.UsageError(
            "Say how much: one of --amount, --thickness with --area or --mesh, and --with."
        )
    if amount is not None:
        return ticket_for_amount(source.shop, mix, amount, wishes)
    assert with_ is not None
    return ticket_with(source.shop, mix, *with_, wishes)


def _covered(
    source: DeskSource,
    mix: str,
    area: float | None,
    mesh: str | None,
    mesh_unit: str,
    thickness: float | None,
) -> float | None:
    """Return the grams that cover an area or a mesh, None where neither was asked."""
    if area is None and mesh is None and thickness is None:
        return None
    if thickness is None or (area is None) == (mesh is None):
        raise click.UsageError("Say --thickness and one of --area and --mesh.")
    from floorboard.mixing.amounts import coverage_grams
    from floorboard.usecases.asked_ticket import mix_named

    found = mix_named(source.shop, mix)
    if found.set_density is None:
        raise click.ClickException(
            f"The mix {mix} has no set_density; add one such as '1.85 g/ml' to the shop."
        )
    if mesh is not None:
        from floorboard.mixing.mesh_area import mesh_area

        measured = mesh_area(mesh, mesh_unit)  # type: ignore[arg-type]
        for remark in measured.remarks:
            click.echo(remark, err=True)
        area = measured.area_mm2
    assert area is not None
    return coverage_grams(thickness, area, float(found.set_density))


def _casting_grams(source: DeskSource, like: str | None, layers: tuple[str, ...]) -> float | None:
    if like is None:
        return None
    if like != "last":
        return float(QuantityType(Mass).convert(like, None, None))
    if source.store is None or not layers:
        raise click.UsageError("--like last looks in the database, for the layers of a piece.")
    from floorboard.usecases.asked_ticket import piece_asked

    piece = piece_asked(source.shop, source.floor, layers[0])
    grams = source.store.last_good_weight(piece)
    if grams is None:
        raise click.ClickException(f"No good casting of {piece} has been weighed yet.")
    return grams


def _show(source: DeskSource, found: Ticket, html: str | None, as_json: bool) -> None:
    if html is not None:
        from floorboard.reports.ticket_html import ticket_html

        try:
            Path(html).write_text(ticket_html(found, source.units), encoding="utf-8")
        except OSError as error:
            raise click.ClickException(f"{html} could not be written: {error.strerror}.") from None
        click.echo(f"Written to {html}: open it in a browser and print it.", err=True)
    if as_json:
        print_json(found)
    elif html is None:
        from floorboard.mixing.ticket_text import ticket_text

        click.echo(ticket_text(found, source.units), nl=False)
