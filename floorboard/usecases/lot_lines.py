"""Lots as they stand, ready to print, show or dump as JSON."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from floorboard.mixing.stock import LEAST_GRAMS, last_day
from floorboard.shop.base import Definition

if TYPE_CHECKING:
    from collections.abc import Iterable

    from floorboard.mixing.stock import LotStanding
    from floorboard.shop.shop import Shop


class LotLine(Definition):
    """One lot, in grams. `used_first` marks the lot the next weighing draws from.

    `good_until` is its last date in the shop's zone.
    """

    material: str
    name: str
    lot: str
    received_at: dt.datetime
    received_grams: float
    on_hand_grams: float
    opened_at: dt.datetime | None
    expires_at: dt.datetime | None
    good_until: str | None
    expired: bool
    cost_per_gram: float | None
    used_first: bool


def lot_lines(
    shop: Shop, lots: Iterable[LotStanding], now: dt.datetime, *, empty: bool = False
) -> tuple[LotLine, ...]:
    """Return the lots that hold something, or with `empty` all of them, in the order given."""
    zone = ZoneInfo(shop.shop.zone)
    kept = [one for one in lots if empty or one.on_hand_grams > LEAST_GRAMS]
    first: dict[str, LotStanding] = {}
    for one in kept:
        if one.on_hand_grams > LEAST_GRAMS and one.in_date(now):
            before = first.get(one.material)
            if before is None or _goes_before(one, before):
                first[one.material] = one
    return tuple(
        LotLine(
            material=one.material,
            name=shop.materials[one.material].name
            if one.material in shop.materials
            else one.material,
            lot=one.lot,
            received_at=one.received_at,
            received_grams=one.received_grams,
            on_hand_grams=one.on_hand_grams,
            opened_at=one.opened_at,
            expires_at=one.expires_at,
            good_until=None if one.expires_at is None else last_day(one.expires_at, zone),
            expired=not one.in_date(now),
            cost_per_gram=one.cost_per_gram,
            used_first=first.get(one.material) is one,
        )
        for one in kept
    )


def _goes_before(one: LotStanding, other: LotStanding) -> bool:
    far = dt.datetime.max.replace(tzinfo=dt.UTC)
    return (one.expires_at or far, one.received_at) < (other.expires_at or far, other.received_at)
