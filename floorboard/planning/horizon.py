"""How far a plan looks: the working day at hand, and as far beyond as its cures reach."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING

from floorboard.planning.hands import hands
from floorboard.shop.calendar import shop_day

if TYPE_CHECKING:
    from floorboard.floor.floor import Floor
    from floorboard.shop.shop import Shop

SHORT_LOOK = dt.timedelta(days=4)
LONGEST_LOOK = dt.timedelta(days=21)

# What a day has to have left after a cure for its demolds to find a place in it.
_TO_DEMOLD = dt.timedelta(hours=2)


@dataclass(frozen=True, slots=True)
class WorkingDay:
    """A local day on which somebody works: the bounds of all its stretches, aware UTC."""

    date: dt.date
    start: dt.datetime
    end: dt.datetime


def working_days(
    shop: Shop, floor: Floor, now: dt.datetime, until: dt.datetime
) -> list[WorkingDay]:
    """Return the days with hands between two moments; a stretch past midnight is of its first day."""
    bounds: dict[dt.date, tuple[dt.datetime, dt.datetime]] = {}
    for spans in hands(shop, floor, now, until).values():
        for start, end in spans:
            date = shop_day(start, shop.shop.zone).date
            first, last = bounds.get(date, (start, end))
            bounds[date] = min(first, start), max(last, end)
    return [WorkingDay(date, *bounds[date]) for date in sorted(bounds)]


@dataclass(frozen=True, slots=True)
class Horizon:
    """`day_end`: end of the working day at hand; `until`: where the plan ends."""

    day_end: dt.datetime
    until: dt.datetime


def look_ahead(
    shop: Shop, floor: Floor, now: dt.datetime, horizon: dt.datetime | None = None
) -> Horizon:
    """Return how far to plan.

    New castings are begun until `day_end`; the plan reaches over the next working day, so that
    what cures overnight can be demolded, and further where a full cure is longer than that. A
    `horizon` given is the day's end and the plan's end alike.
    """
    if horizon is not None:
        return Horizon(horizon, horizon)
    cure = dt.timedelta(seconds=_longest_cure(shop, floor))
    found = None
    for look in (SHORT_LOOK, LONGEST_LOOK):
        days = working_days(shop, floor, now, now + look)
        # The last day found may be cut short by the look itself.
        known = days if look == LONGEST_LOOK else days[:-1]
        if not known:
            continue
        reach = known[0].end + cure + _TO_DEMOLD
        until = next((day.end for day in known[1:] if day.end >= reach), None)
        if until is not None:
            return Horizon(known[0].end, until)
        found = Horizon(known[0].end, known[-1].end)
    return found or Horizon(now + dt.timedelta(days=1), now + dt.timedelta(days=1))


def _longest_cure(shop: Shop, floor: Floor) -> float:
    """Return the longest full cure, in seconds, of what is cast or in molds."""
    cast = {mold.piece for mold in shop.molds.values()}
    pieces = [shop.pieces[key] for key in cast]
    pieces += [casting.build.piece for casting in floor.open_castings() if casting.in_mold]
    return max((float(piece.full_cure) for piece in pieces), default=0.0)
