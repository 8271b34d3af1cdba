"""Which stretch of time a tally is of: local days, the shift at hand, or an order's whole life."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from floorboard.records.tally_past import Stretch
from floorboard.shop.calendar import day_bounds, shop_day, stretches
from floorboard.shop.errors import FloorboardError

if TYPE_CHECKING:
    from floorboard.shop.shop import Shop

# The first day any log can have.
_BEGINNING = dt.datetime(2000, 1, 1, tzinfo=dt.UTC)


class NoSuchOrder(FloorboardError):
    """The shop has no order of that name."""


class NoShift(FloorboardError):
    """No shift began lately."""


def of_days(shop: Shop, first: dt.date, last: dt.date, now: dt.datetime) -> tuple[Stretch, str]:
    """Return local days from `first` to `last`, both included, and what they are called."""
    zone = shop.shop.zone
    stretch = Stretch(day_bounds(first, zone).start_utc, day_bounds(last, zone).end_utc, now)
    title = _day(first) if first == last else f"{_day(first)} to {_day(last)}"
    return stretch, title


def of_today(shop: Shop, now: dt.datetime) -> tuple[Stretch, str]:
    """Return the local day at hand."""
    today = shop_day(now, shop.shop.zone).date
    return of_days(shop, today, today, now)


def of_shift(shop: Shop, now: dt.datetime) -> tuple[Stretch, str]:
    """Return the shift at hand, or the last one: from the first person's start to the last's end.

    Raises
    ------
    NoShift
        If no one's shift began in the last week.
    """
    zone = ZoneInfo(shop.shop.zone)
    spans = sorted(
        span
        for person in shop.people.values()
        for span in stretches(
            person.model_copy(update={"breaks": ()}),
            shop.shop.zone,
            now - dt.timedelta(days=7),
            now + dt.timedelta(days=1),
        )
    )
    joined: list[tuple[dt.datetime, dt.datetime]] = []
    for start, end in spans:
        if joined and start <= joined[-1][1]:
            joined[-1] = joined[-1][0], max(end, joined[-1][1])
        else:
            joined.append((start, end))
    begun = [span for span in joined if span[0] <= now]
    if not begun:
        raise NoShift("No shift began in the last seven days. Give a day with --day.")
    start, end = begun[-1]
    first, last = start.astimezone(zone), end.astimezone(zone)
    title = f"shift of {_day(first.date())}, {first:%H:%M} to {last:%H:%M}"
    return Stretch(start, end, now), title


def of_order(shop: Shop, order: str, now: dt.datetime) -> tuple[Stretch, str]:
    """Return all the time there is up to now, for an order's tally.

    Raises
    ------
    NoSuchOrder
        If the shop has none of that name.
    """
    if order not in shop.orders:
        known = ", ".join(shop.orders) or "none"
        raise NoSuchOrder(f"The shop has no order {order!r}. It has: {known}.")
    end = shop_day(now, shop.shop.zone).end_utc
    return Stretch(_BEGINNING, end, now), f"order {shop.orders[order].name or order}"


def _day(date: dt.date) -> str:
    return f"{date:%A} {date.day} {date:%B %Y}"
