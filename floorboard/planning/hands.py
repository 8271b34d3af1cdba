"""When each person can work: their stretches of the shop's calendar, less today for who is away."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.shop.calendar import Interval, shop_day, stretches

if TYPE_CHECKING:
    import datetime as dt

    from floorboard.floor.floor import Floor
    from floorboard.shop.shop import Shop


def hands(
    shop: Shop, floor: Floor, start: dt.datetime, end: dt.datetime
) -> dict[str, list[Interval]]:
    """Return each person's working stretches within `[start, end)`, aware UTC, in order.

    Somebody who is away is expected back with the first shift that begins on a later local day
    than the one `start` lies in.
    """
    zone = shop.shop.zone
    tomorrow = shop_day(start, zone).end_utc
    found = {}
    for key, person in shop.people.items():
        spans = stretches(person, zone, start, end)
        if key in floor.away:
            # A stretch that runs over midnight belongs to the shift they left.
            spans = [span for span in spans if span[0] >= tomorrow]
        found[key] = spans
    return found
