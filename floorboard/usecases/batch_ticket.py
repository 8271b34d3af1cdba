"""The ticket of a batch for layers of castings on the floor, at the day's temperature."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.mixing.amounts import layer_grams
from floorboard.mixing.refusal import refuse
from floorboard.mixing.ticket import Serving, Ticket, ticket_for
from floorboard.mixing.weight_text import in_units
from floorboard.mixing.working_time import cure_factor
from floorboard.shop.calendar import shop_day
from floorboard.shop.mixes import WorkingTimeTable
from floorboard.usecases.press_words import mold_label

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Mapping, Sequence

    from floorboard.floor.casting import Casting
    from floorboard.floor.floor import Floor
    from floorboard.shop.mixes import Mix
    from floorboard.shop.shop import Shop


def room_celsius(floor: Floor) -> float | None:
    """Return the temperature the mixes' times are read at: the room's, else the water's."""
    if floor.conditions is None:
        return None
    if floor.conditions.room_celsius is not None:
        return floor.conditions.room_celsius
    return floor.conditions.water_celsius


def conditions_are_todays(shop: Shop, floor: Floor, now: dt.datetime) -> bool:
    """Return whether the temperature was read on this day of the shop."""
    if floor.conditions_at is None or room_celsius(floor) is None:
        return False
    zone = shop.shop.zone
    return shop_day(floor.conditions_at, zone).date == shop_day(now, zone).date


def batch_cure_factor(
    mix: Mix, percents: Mapping[str, float] | None, celsius: float | None
) -> float:
    """Return what the waits after a batch are multiplied by, with these percentages."""
    percent = None
    if percents and isinstance(mix.working_time, WorkingTimeTable):
        percent = percents.get(mix.working_time.additive)
    return cure_factor(mix, percent, celsius)


def scale_resolution(shop: Shop) -> float:
    """Return the smallest difference the shop's scale shows, in grams."""
    return float(shop.shop.scale_resolution) or 1.0


def in_shop_units(shop: Shop, sentence: str) -> str:
    """Return a sentence with its weights in the units the shop reads."""
    return in_units(sentence, shop.shop.units, scale_resolution(shop))


def serving_grams(casting: Casting, layer: int) -> float:
    """Return what a layer of a casting takes, as its build has it."""
    return layer_grams(casting.build.piece.layers[layer], casting.build.mix_of_layer(layer))


def ticket_of(
    shop: Shop,
    floor: Floor,
    servings: Sequence[tuple[str, int]],
    *,
    percents: Mapping[str, float] | None = None,
    tare_grams: float = 0.0,
) -> Ticket:
    """Return the ticket for these (casting, layer) servings, all of one mix.

    Parameters
    ----------
    servings : in the order they are poured.
    percents : other percentages for this batch, by the additive's material.
    tare_grams : what the scale shows before the first addition.

    Raises
    ------
    KeyError
        If a casting is not on the floor.
    floorboard.mixing.refusal.MixingError
        If the batch cannot be made: nothing to serve, two mixes, or over the bucket.
    """
    if not servings:
        raise refuse("servings", "found no layer to make the batch for, expected at least one")
    first = floor.castings[servings[0][0]]
    mix_id = first.build.piece.layers[servings[0][1]].mix
    for serial, layer in servings:
        build = floor.castings[serial].build
        if build.mixes[build.piece.layers[layer].mix] != first.build.mixes[mix_id]:
            raise refuse(
                "servings",
                f"layer {layer + 1} of casting {serial} takes the mix "
                f"{build.piece.layers[layer].mix!r}, expected {mix_id!r} as the others; "
                "make a batch of its own",
            )
    asked = [
        Serving(
            mold=floor.castings[serial].mold,
            layer=layer,
            grams=serving_grams(floor.castings[serial], layer),
            casting=serial,
            called=mold_label(shop, floor.castings[serial].mold),
        )
        for serial, layer in servings
    ]
    return ticket_for(
        mix_id,
        first.build.mixes[mix_id],
        first.build.materials,
        asked,
        percents=percents,
        resolution_grams=scale_resolution(shop),
        tare_grams=tare_grams,
        temperature=room_celsius(floor),
    )
