"""When each person can work: the shifts of the shop's calendar less breaks, less who is away."""

from __future__ import annotations

import datetime as dt
import zoneinfo
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from floorboard.floor.floor import Floor
    from floorboard.shop.shop import Person, Shop, Stretch

Span = tuple[dt.datetime, dt.datetime]


def hands(shop: Shop, floor: Floor, start: dt.datetime, end: dt.datetime) -> dict[str, list[Span]]:
    """Return each person's working stretches within `[start, end)`, aware UTC, in order.

    Somebody who is away is expected back with the first shift that begins on a later local day
    than the one `start` lies in.
    """
    zone = zoneinfo.ZoneInfo(shop.shop.zone)
    tomorrow = _midnight_after(start, zone)
    found = {}
    for key, person in shop.people.items():
        since = tomorrow if key in floor.away else None
        found[key] = stretches_of(person, zone, start, end, begun_since=since)
    return found


def stretches_of(
    person: Person,
    zone: zoneinfo.ZoneInfo,
    start: dt.datetime,
    end: dt.datetime,
    *,
    begun_since: dt.datetime | None = None,
) -> list[Span]:
    """Return a person's shifts less breaks within `[start, end)`, aware UTC, in order.

    With `begun_since`, only shifts that begin then or later count.
    """
    shifts = _spans(person.shifts, zone, start, end)
    if begun_since is not None:
        shifts = [span for span in shifts if span[0] >= begun_since]
    found: list[Span] = []
    breaks = _joined(_spans(person.breaks, zone, start, end))
    for first, last in _joined(shifts):
        at = first
        for pause, resume in breaks:
            if resume <= at or pause >= last:
                continue
            found.append((at, pause))
            at = resume
        found.append((at, last))
    clipped = ((max(first, start), min(last, end)) for first, last in found)
    return [(first, last) for first, last in clipped if first < last]


def _spans(
    stretches: Iterable[Stretch], zone: zoneinfo.ZoneInfo, start: dt.datetime, end: dt.datetime
) -> list[Span]:
    day = start.astimezone(zone).date() - dt.timedelta(days=1)
    last = end.astimezone(zone).date()
    found = []
    while day <= last:
        for stretch in stretches:
            if day.weekday() in stretch.days:
                found.append(_span(stretch, day, zone))
        day += dt.timedelta(days=1)
    return sorted(found)


def _span(stretch: Stretch, day: dt.date, zone: zoneinfo.ZoneInfo) -> Span:
    over = stretch.end <= stretch.start
    first = dt.datetime.combine(day, stretch.start, zone)
    last = dt.datetime.combine(day + dt.timedelta(days=1 if over else 0), stretch.end, zone)
    return first.astimezone(dt.UTC), last.astimezone(dt.UTC)


def _joined(spans: Iterable[Span]) -> list[Span]:
    found: list[Span] = []
    for first, last in sorted(spans):
        if found and first <= found[-1][1]:
            found[-1] = found[-1][0], max(found[-1][1], last)
        elif first < last:
            found.append((first, last))
    return found


def _midnight_after(at: dt.datetime, zone: zoneinfo.ZoneInfo) -> dt.datetime:
    day = at.astimezone(zone).date() + dt.timedelta(days=1)
    return dt.datetime.combine(day, dt.time(0), zone).astimezone(dt.UTC)
