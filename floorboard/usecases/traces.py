"""From a lot to every casting it went into, and from a casting to every lot behind it.

Read by index, so that it takes as long as what is found, not as long as the log.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.mixing.refusal import refuse
from floorboard.shop.base import Definition
from floorboard.usecases.stock_book import account_of_moves

if TYPE_CHECKING:
    from collections.abc import Iterable

    from floorboard.mixing.stock import Draw
    from floorboard.shop.shop import Shop
    from floorboard.usecases.ports import Lot, StockRows, Store


class LotName(Definition):
    """A lot of a material."""

    material: str
    lot: str


class LotTraced(Definition):
    """Where a lot went. `made_up` are the lots of stock solutions made up with it."""

    material: str
    lot: str
    batches: tuple[str, ...]
    castings: tuple[str, ...]
    made_up: tuple[LotName, ...]


class CastingTraced(Definition):
    """What a casting is made of: its batches and every lot behind it, solutions' own included."""

    casting: str
    batches: tuple[str, ...]
    lots: tuple[LotName, ...]


def trace_lot(store: Store, shop: Shop, lot: str, material: str | None = None) -> LotTraced:
    """Follow a lot to every batch and casting it went into, also through stock solutions.

    Raises
    ------
    floorboard.mixing.refusal.MixingError
        If there is no such lot, or several materials have one of that name and none was named.
    """
    rows = store.stock
    first = (material or _material_of(rows, shop, lot), lot)
    if not rows.materials_with(lot, [first[0]]):
        raise refuse(
            "lot", f"found no lot {lot!r} of {first[0]!r}; list the lots to see what is there"
        )
    lots: dict[Lot, None] = {first: None}
    fresh = [first]
    batches: dict[str, None] = {}
    castings: dict[str, None] = {}
    while fresh:
        one = fresh.pop()
        batches |= dict.fromkeys(rows.batches_from(one))
        castings |= dict.fromkeys(rows.castings_from(one))
        for draw in _unnamed_draws(rows, shop, one):
            if draw.batch is not None:
                batches[draw.batch] = None
            if draw.casting is not None:
                castings[draw.casting] = None
        made = [lot for lot in rows.made_from(one) if lot not in lots]
        lots |= dict.fromkeys(made)
        fresh += made
    poured = dict.fromkeys(rows.castings_poured(batches))
    del lots[first]
    return LotTraced(
        material=first[0],
        lot=lot,
        batches=tuple(batches),
        castings=tuple(poured | castings),
        made_up=_names(lots),
    )


def trace_casting(store: Store, shop: Shop, casting: str) -> CastingTraced:
    """Follow a casting back to every lot it is made of.

    Raises
    ------
    floorboard.mixing.refusal.MixingError
        If the log has no such casting.
    """
    rows = store.stock
    if not store.of_casting(casting):
        raise refuse("casting", f"found no casting {casting!r} in the log")
    batches = rows.batches_poured(casting)
    seen = [*rows.weighed_into(batches), *rows.used_on(casting)]
    lots = {one: None for one in seen if one[1]}
    unnamed = dict.fromkeys(material for material, lot in seen if not lot)
    for material in filter(rows.has_unnamed_use, unnamed):
        lots |= {
            (material, draw.lot): None
            for draw in account_of_moves(rows.moves_of(material), shop, shop.materials).draws
            if draw.lot is not None and (draw.batch in batches or draw.casting == casting)
        }
    fresh = list(lots)
    while fresh:
        behind = [one for one in rows.made_of(fresh.pop()) if one[1] and one not in lots]
        lots |= dict.fromkeys(behind)
        fresh += behind
    return CastingTraced(casting=casting, batches=tuple(batches), lots=_names(lots))


def _material_of(rows: StockRows, shop: Shop, lot: str) -> str:
    found = rows.materials_with(lot, shop.materials)
    if len(found) == 1:
        return found[0]
    if not found:
        raise refuse("lot", f"found no lot {lot!r}; list the lots to see what is there")
    raise refuse("lot", f"found {lot!r} of {' and '.join(found)}; name the material too")


def _unnamed_draws(rows: StockRows, shop: Shop, lot: Lot) -> list[Draw]:
    """Draws on a lot that did not name it: the account says which lot they fell on."""
    material, name = lot
    if not rows.has_unnamed_use(material):
        return []
    account = account_of_moves(rows.moves_of(material), shop, shop.materials)
    return [draw for draw in account.draws if draw.lot == name]


def _names(lots: Iterable[Lot]) -> tuple[LotName, ...]:
    return tuple(LotName(material=material, lot=lot) for material, lot in lots)
