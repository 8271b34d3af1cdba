"""A ticket for what somebody asks: molds, castings, layers of pieces, or a mix and an amount."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from floorboard.mixing.amounts import grams_from_casting, layer_grams
from floorboard.mixing.batch import batch_from
from floorboard.mixing.refusal import refuse
from floorboard.mixing.ticket import Serving, Ticket, ticket_for
from floorboard.shop.names import key_called
from floorboard.usecases.batch_ticket import scale_resolution
from floorboard.usecases.press_words import mold_label

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from floorboard.floor.casting import Casting
    from floorboard.floor.floor import Floor
    from floorboard.shop.materials import Material
    from floorboard.shop.mixes import Mix
    from floorboard.shop.pieces import Piece
    from floorboard.shop.shop import Shop


@dataclass(frozen=True, slots=True)
class TicketWishes:
    """What differs from the definitions.

    `percents` by additive; `times` every amount; `casting_grams` the weight of the last good
    casting, which the layers are to add up to; `temperature` in C.
    """

    percents: Mapping[str, float] | None = None
    times: float = 1.0
    casting_grams: float | None = None
    tare_grams: float = 0.0
    resolution_grams: float | None = None
    temperature: float | None = None


@dataclass(frozen=True, slots=True)
class _Asked:
    """A layer asked for, with the piece and the mix it is made of."""

    serving: Serving
    mix_id: str
    mix: Mix
    materials: Mapping[str, Material]


def ticket_for_layers(
    shop: Shop, floor: Floor, names: Sequence[str], wishes: TicketWishes
) -> Ticket:
    """Return the ticket of one batch for these layers, poured in the order given.

    Parameters
    ----------
    names : each a mold's number or id, a casting's serial number or a piece's id; then, after a
        colon, the layer counted from 1. Without it, the layer that casting waits for.

    Raises
    ------
    floorboard.mixing.refusal.MixingError
        In a sentence, if a name means nothing, two mixes are asked for, or the batch is too large.
    """
    if not names:
        raise refuse(
            "layers", "found none, expected at least one, such as 'owl:2' or a mold's number"
        )
    if not 0 < wishes.times < float("inf"):
        raise refuse("times", f"found {wishes.times:g}, expected more than nothing")
    asked = [_asked(shop, floor, name, wishes) for name in names]
    first = asked[0]
    for name, one in zip(names, asked, strict=True):
        if one.mix != first.mix:
            raise refuse(
                name,
                f"found a layer of {one.mix.name!r}, expected one of {first.mix.name!r} as the "
                "first; make a batch of its own",
            )
    return ticket_for(
        first.mix_id,
        first.mix,
        first.materials,
        [one.serving for one in asked],
        percents=wishes.percents,
        resolution_grams=wishes.resolution_grams or scale_resolution(shop),
        tare_grams=wishes.tare_grams,
        temperature=wishes.temperature,
    )


def ticket_for_amount(shop: Shop, mix_id: str, grams: float, wishes: TicketWishes) -> Ticket:
    """Return the ticket from which so many grams of a mix can be applied.

    Raises
    ------
    floorboard.mixing.refusal.MixingError
        In a sentence, if the shop has no such mix or the batch is too large.
    """
    mix_id = key_called(shop.mixes, mix_id)
    mix = mix_named(shop, mix_id)
    return ticket_for(
        mix_id,
        mix,
        shop.materials,
        [Serving(mold="", layer=0, grams=grams * wishes.times)],
        percents=wishes.percents,
        resolution_grams=wishes.resolution_grams or scale_resolution(shop),
        tare_grams=wishes.tare_grams,
        temperature=wishes.temperature,
    )


def ticket_with(
    shop: Shop, mix_id: str, material: str, grams: float, wishes: TicketWishes
) -> Ticket:
    """Return the ticket that takes so many grams of one material, as 500 g of powder."""
    batch = batch_from(
        mix_named(shop, mix_id),
        shop.materials,
        key_called(shop.materials, material),
        grams,
        percents=wishes.percents,
        resolution_grams=wishes.resolution_grams or scale_resolution(shop),
    )
    return ticket_for_amount(shop, mix_id, batch.wanted_grams, wishes)


def piece_asked(shop: Shop, floor: Floor, name: str) -> str:
    """Return the id of the piece that a layer asked for is of."""
    what = name.partition(":")[0]
    casting, mold = _resolved(shop, floor, what)
    return casting.piece_id if casting is not None else _piece_id(shop, mold, what)


def mix_named(shop: Shop, mix_id: str) -> Mix:
    """Return a mix of the shop.

    Raises
    ------
    floorboard.mixing.refusal.MixingError
        Naming the mixes there are.
    """
    mix = shop.mixes.get(key_called(shop.mixes, mix_id))
    if mix is None:
        raise refuse("mix", f"found {mix_id!r}, expected one of: {', '.join(shop.mixes)}")
    return mix


def _asked(shop: Shop, floor: Floor, name: str, wishes: TicketWishes) -> _Asked:
    what, _, number = name.partition(":")
    casting, mold = _resolved(shop, floor, what)
    if casting is not None:
        piece, materials = casting.build.piece, casting.build.materials
        layer = _layer(name, number, piece, casting.layers_applied)
        mix_id = piece.layers[layer].mix
        mix = casting.build.mixes[mix_id]
    else:
        piece_id = _piece_id(shop, mold, what)
        if piece_id not in shop.pieces:
            raise refuse(
                name,
                f"found {what!r}, which is no mold, casting or piece; expected a mold's number, "
                f"or one of: {', '.join(shop.pieces)}",
            )
        piece, materials = shop.pieces[piece_id], shop.materials
        if mold is not None and not number and len(piece.layers) > 1:
            raise refuse(
                name,
                f"found {mold_label(shop, mold)} empty, so no layer waits in it; say which is "
                f"meant, as '{what}:1', or begin a casting in it first",
            )
        layer = _layer(name, number, piece, None)
        mix_id = piece.layers[layer].mix
        mix = shop.mixes[mix_id]
    serving = Serving(
        mold=mold or what,
        layer=layer,
        grams=_grams(piece, layer, mix, wishes, _mixes(shop, casting)),
        casting=casting.serial if casting is not None else None,
        called=mold_label(shop, mold) if mold is not None else piece.name,
    )
    return _Asked(serving, mix_id, mix, materials)


def _mixes(shop: Shop, casting: Casting | None) -> Mapping[str, Mix]:
    return shop.mixes if casting is None else casting.build.mixes


def _grams(
    piece: Piece, layer: int, mix: Mix, wishes: TicketWishes, mixes: Mapping[str, Mix]
) -> float:
    if wishes.casting_grams is None:
        return layer_grams(piece.layers[layer], mix) * wishes.times
    nominal = [layer_grams(one, mixes[one.mix]) for one in piece.layers]
    return grams_from_casting(nominal, wishes.casting_grams)[layer] * wishes.times


def _resolved(shop: Shop, floor: Floor, what: str) -> tuple[Casting | None, str | None]:
    """Return the casting and the mold that a name means; neither where it can only be a piece."""
    if what in floor.castings:
        return floor.castings[what], floor.castings[what].mold
    mold = _mold(shop, what)
    return (floor.casting_in(mold) if mold is not None else None), mold


def _piece_id(shop: Shop, mold: str | None, what: str) -> str:
    return shop.molds[mold].piece if mold is not None else key_called(shop.pieces, what)


def _mold(shop: Shop, what: str) -> str | None:
    if what.isascii() and what.isdigit():
        return shop.mold_by_number(int(what[:9]))
    return what if what in shop.molds else None


def _layer(name: str, number: str, piece: Piece, waits_for: int | None) -> int:
    layers = len(piece.layers)
    if not number:
        if waits_for is not None and waits_for < layers:
            return waits_for
        if waits_for is None and layers == 1:
            return 0
        why = "all its layers are in" if waits_for is not None else f"it has {layers} layers"
        raise refuse(name, f"found no layer and {why}; say which, as '{name.partition(':')[0]}:1'")
    if not (number.isascii() and number.isdigit()) or not 1 <= int(number[:9]) <= layers:
        raise refuse(name, f"found layer {number!r}, expected 1 to {layers}")
    return int(number) - 1
