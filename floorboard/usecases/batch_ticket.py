"""The ticket of a batch for layers of castings on the floor, at the day's temperature."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.mixing.amounts import layer_grams
from floorboard.mixing.ticket import Serving, Ticket, ticket_for
from floorboard.mixing.working_time import working_time

if TYPE_CHECKING:
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


def cure_factor(mix: Mix, celsius: float | None) -> float:
    """Return what the cures of this mix are multiplied by at a temperature."""
    return working_time(mix, None, celsius).factor


def serving_grams(casting: Casting, layer: int) -> float:
    """Return what a layer of a casting takes, as its build has it."""
    return layer_grams(casting.build.piece.layers[layer], casting.build.mix_of_layer(layer))


def ticket_of(
    shop: Shop,
    floor: Floor,
    servings: Sequence[tuple[str, int]],
    *,
    percents: Mapping[str, float] | None = None,
) -> Ticket:
    """Return the ticket for these (casting, layer) servings, all of one mix.

    Raises
    ------
    KeyError
        If a casting is not on the floor.
    floorboard.mixing.refusal.MixingError
        If the batch cannot be made: over the bucket, or out of its range.
    """
    first = floor.castings[servings[0][0]]
    mix_id = first.build.piece.layers[servings[0][1]].mix
    asked = [
        Serving(
            mold=floor.castings[serial].mold,
            layer=layer,
            grams=serving_grams(floor.castings[serial], layer),
            casting=serial,
        )
        for serial, layer in servings
    ]
    return ticket_for(
        mix_id,
        first.build.mixes[mix_id],
        first.build.materials,
        asked,
        percents=percents,
        resolution_grams=float(shop.shop.scale_resolution) or 1.0,
        temperature=room_celsius(floor),
    )
