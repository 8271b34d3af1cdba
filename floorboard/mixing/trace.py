"""From a lot to every casting it went into, and back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from floorboard.mixing.stock import Draw

Lot = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Pour:
    """A layer (counted from 0) of a casting was made from a batch."""

    batch: str
    casting: str
    layer: int


@dataclass(frozen=True, slots=True)
class LotTrace:
    """Where a lot went: batches, castings, and lots made up from it (material, lot)."""

    batches: tuple[str, ...]
    castings: tuple[str, ...]
    lots: tuple[Lot, ...]


@dataclass(frozen=True, slots=True)
class CastingTrace:
    """What a casting is made of: its batches, and all lots (material, lot) behind them."""

    batches: tuple[str, ...]
    lots: tuple[Lot, ...]


def trace_lot(material: str, lot: str, draws: Sequence[Draw], pours: Sequence[Pour]) -> LotTrace:
    """Follow a lot forward, also through stock solutions made up from it.

    Each is listed once, in the order it is first met. Draws must carry their lots, as those of
    an account do.
    """
    lots: dict[Lot, None] = {(material, lot): None}
    batches: dict[str, None] = {}
    castings: dict[str, None] = {}
    fresh = {(material, lot)}
    while fresh:
        names, found = {name for _, name in fresh}, fresh
        fresh = set()
        for draw in draws:
            # The lot's name alone is looked at first: it rules out nearly every draw.
            if draw.lot not in names or (draw.material, draw.lot) not in found:
                continue
            if draw.batch is not None:
                batches[draw.batch] = None
            if draw.casting is not None:
                castings[draw.casting] = None
            if draw.into_lot is not None and draw.into_lot not in lots:
                lots[draw.into_lot] = None
                fresh.add(draw.into_lot)
    castings |= {pour.casting: None for pour in pours if pour.batch in batches}
    del lots[material, lot]
    return LotTrace(tuple(batches), tuple(castings), tuple(lots))


def trace_casting(casting: str, draws: Sequence[Draw], pours: Sequence[Pour]) -> CastingTrace:
    """Follow a casting back to every lot it is made of, also through stock solutions."""
    batches = {pour.batch: None for pour in pours if pour.casting == casting}
    lots: dict[Lot, None] = {
        (draw.material, draw.lot): None
        for draw in draws
        if draw.lot is not None and (draw.batch in batches or draw.casting == casting)
    }
    fresh = set(lots)
    while fresh:
        behind: dict[Lot, None] = {
            (draw.material, draw.lot): None
            for draw in draws
            if draw.lot is not None and draw.into_lot in fresh
        }
        fresh = set(behind) - set(lots)
        lots |= behind
    return CastingTrace(tuple(batches), tuple(lots))
