"""Stock by hand: lots received, opened, counted and wasted, stock solutions made up.

Each verb checks what is asked and returns the events to log; none logs anything itself.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.floor import events as e
from floorboard.mixing.refusal import refuse
from floorboard.mixing.scale_rounding import to_scale
from floorboard.shop.calendar import shop_day
from floorboard.shop.printable import printable
from floorboard.usecases.batch_ticket import scale_resolution

if TYPE_CHECKING:
    import datetime as dt

    from floorboard.mixing.stock import LotStanding
    from floorboard.shop.materials import Material
    from floorboard.shop.shop import Shop
    from floorboard.usecases.stock_book import StockBook

LONGEST_LOT = 80


def receive(
    shop: Shop,
    material: str,
    lot: str,
    grams: float,
    *,
    expires: dt.date | None = None,
    cost: float | None = None,
) -> list[e.AnyEvent]:
    """A lot came in. The same name again means more of the same lot.

    Raises
    ------
    floorboard.mixing.refusal.MixingError
        If the shop has no such material, or the lot has no name or weighs nothing.
    """
    _known(shop, material)
    _something("grams", grams)
    return [
        e.LotReceived(
            material=material, lot=_lot_name(lot), grams=grams, expires=expires, cost=cost
        )
    ]


def open_lot(shop: Shop, book: StockBook, material: str, lot: str) -> list[e.AnyEvent]:
    """Open a lot: its open life runs from here.

    Raises
    ------
    floorboard.mixing.refusal.MixingError
        If there is no such lot, or it is open already.
    """
    found = _received(shop, book, material, lot)
    if found.opened_at is not None:
        day = shop_day(found.opened_at, shop.shop.zone).date
        raise refuse("lot", f"lot {lot} of {material} is open since {day}")
    return [e.LotOpened(material=material, lot=lot)]


def count(shop: Shop, book: StockBook, material: str, lot: str, grams: float) -> list[e.AnyEvent]:
    """So much of a lot was found; the account goes by it from here.

    Raises
    ------
    floorboard.mixing.refusal.MixingError
        If there is no such lot, or the weight is negative.
    """
    _received(shop, book, material, lot)
    if not 0 <= grams < float("inf"):
        raise refuse("grams", f"found {grams:g} g, expected nothing or more")
    return [e.StockCounted(material=material, lot=lot, grams=grams)]


def waste(
    shop: Shop,
    book: StockBook,
    material: str,
    grams: float,
    at: dt.datetime,
    *,
    lot: str | None = None,
    note: str = "",
) -> list[e.AnyEvent]:
    """Material was spilt, spoiled or thrown away; without a lot, from the one in use.

    Raises
    ------
    floorboard.mixing.refusal.MixingError
        If the shop has no such material or lot, or nothing was wasted.
    """
    _known(shop, material)
    _something("grams", grams)
    if lot is not None:
        _received(shop, book, material, lot)
        return [e.StockWasted(material=material, lot=lot, grams=grams, note=note)]
    return [
        e.StockWasted(material=material, lot=take.lot, grams=take.grams, note=note)
        for take in book.lots_for(shop, material, grams, at)
    ]


def make_up(
    shop: Shop,
    book: StockBook,
    material: str,
    lot: str,
    grams: float,
    at: dt.datetime,
    *,
    expires: dt.date | None = None,
) -> list[e.AnyEvent]:
    """Make up so much of a stock solution, as the shop defines it, out of what is in stock.

    Raises
    ------
    floorboard.mixing.refusal.MixingError
        If the material is no stock solution, or the lot is there already.
    """
    known = _known(shop, material)
    if known.solution is None:
        solutions = [key for key, one in shop.materials.items() if one.solution is not None]
        raise refuse(
            "material",
            f"{known.name} is no stock solution; expected one of: {', '.join(solutions) or 'none'}",
        )
    _something("grams", grams)
    if book.lot(shop, material, _lot_name(lot)) is not None:
        raise refuse("lot", f"found a lot {lot} of {material} already; give this one another name")
    active, water = solution_weights(shop, material, grams)
    events: list[e.AnyEvent] = []
    takings = []
    for name, weight in ((known.solution.active, active), ("water", water)):
        if not weight:
            continue
        for take in book.lots_for(shop, name, weight, at):
            if take.first and take.lot is not None:
                events.append(e.LotOpened(material=name, lot=take.lot))
            takings.append(e.LotTaking(material=name, grams=round(take.grams, 6), lot=take.lot))
    made = e.SolutionMade(
        material=material, lot=_lot_name(lot), grams=grams, takings=tuple(takings), expires=expires
    )
    return [*events, made]


def solution_weights(shop: Shop, material: str, grams: float) -> tuple[float, float]:
    """Return what to weigh for so much of a stock solution: active material and water, in grams.

    The active material is rounded to the scale; water makes up the rest.
    """
    solution = _known(shop, material).solution
    if solution is None:
        raise refuse("material", f"{material} is no stock solution")
    active = to_scale(grams * solution.strength_percent / 100.0, scale_resolution(shop))
    return active, round(max(0.0, grams - active), 6)


def lot_name_for(shop: Shop, book: StockBook, material: str, day: dt.date) -> str:
    """Return a name for a lot made up today: "quick-260302", then "quick-260302-2"."""
    first = f"{material}-{day:%y%m%d}"
    name, number = first, 1
    while book.lot(shop, material, name) is not None:
        number += 1
        name = f"{first}-{number}"
    return name


def _known(shop: Shop, material: str) -> Material:
    found = shop.materials.get(material)
    if found is None:
        raise refuse(
            "material",
            f"found {material!r}, which is no material of the shop; expected one of: "
            f"{', '.join(shop.materials)}",
        )
    return found


def _received(shop: Shop, book: StockBook, material: str, lot: str) -> LotStanding:
    _known(shop, material)
    found = book.lot(shop, material, lot)
    if found is None:
        names = [one.lot for one in book.lots(shop) if one.material == material]
        raise refuse(
            "lot",
            f"found no lot {lot!r} of {material}; expected one of: {', '.join(names) or 'none yet'}",
        )
    return found


def _something(field: str, grams: float) -> None:
    if not 0 < grams <= 1e9:
        raise refuse(field, f"found {grams:g} g, expected more than nothing")


def _lot_name(lot: str) -> str:
    name = lot.strip()
    try:
        printable(name)
    except ValueError as error:
        raise refuse("lot", str(error)) from None
    if not 0 < len(name) <= LONGEST_LOT:
        raise refuse("lot", f"found {name!r}, expected a name of 1 to {LONGEST_LOT} characters")
    return name
