"""What open orders still miss, and what of them was finished, from the past."""

from __future__ import annotations

import zoneinfo
from typing import TYPE_CHECKING

from floorboard.records.tally_orders import filled, orders_by_due
from floorboard.records.tally_past import Past

if TYPE_CHECKING:
    import datetime as dt

    from floorboard.floor.floor import Floor
    from floorboard.shop.shop import Shop
    from floorboard.usecases.history_port import History


def finished_for(history: History, shop: Shop, until: dt.datetime) -> dict[str, list[dt.datetime]]:
    """Return, for each order, when each casting that fills it was finished before a moment."""
    if not shop.orders:
        return {}
    since = history.orders_known_since()
    known = [since[key] for key in shop.orders if key in since]
    pieces = sorted({order.piece for order in shop.orders.values()})
    finished = history.finished_for_orders(pieces, min(known, default=until), until)
    past = Past(shop=shop, builds={}, castings=(), finished=finished, orders_since=since)
    return filled(past)


def missing_by_due(
    history: History, shop: Shop, now: dt.datetime
) -> list[tuple[dt.date, str, int]]:
    """Return what open orders still miss, as (local due day, piece, number), earliest first."""
    moments = finished_for(history, shop, now)
    zone = zoneinfo.ZoneInfo(shop.shop.zone)
    found = []
    for key, due in orders_by_due(shop):
        order = shop.orders[key]
        missing = order.quantity - len(moments.get(key, ()))
        if missing > 0:
            found.append((due.astimezone(zone).date(), order.piece, missing))
    return found


def finished_off_the_floor(
    history: History, shop: Shop, floor: Floor, now: dt.datetime
) -> dict[str, int]:
    """Return how many castings of each order are finished that the floor no longer holds.

    The planner counts those on the floor itself.
    """
    held = {c.serial for c in floor.castings.values() if c.finished_at is not None}
    since = history.orders_known_since()
    known = [since[key] for key in shop.orders if key in since]
    pieces = sorted({order.piece for order in shop.orders.values()})
    if not pieces:
        return {}
    finished = history.finished_for_orders(pieces, min(known, default=now), now)
    past = Past(
        shop=shop,
        builds={},
        castings=(),
        finished=(row for row in finished if row.serial not in held),
        orders_since=since,
    )
    return {key: len(moments) for key, moments in filled(past).items()}
