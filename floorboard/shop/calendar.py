"""Working time: when people have hands free, which day it is in the shop, when an order is due.

Everything handed in and out is aware UTC; intervals are half-open, ``[start, end)``. Local time
is turned into UTC in one place, `utc_of`, so that the two days on which clocks change are right.
"""

from __future__ import annotations

import datetime as dt
import zoneinfo
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from floorboard.shop.shop import Order, Person, Stretch

Interval = tuple[dt.datetime, dt.datetime]

_DAY = dt.timedelta(days=1)
_MIDNIGHT = dt.time(0)


class ShopDay(NamedTuple):
    """A local day of the shop: its date and its bounds in UTC, `[start_utc, end_utc)`.

    On the days clocks change it is 23 or 25 hours long.
    """

    date: dt.date
    start_utc: dt.datetime
    end_utc: dt.datetime


def utc_of(date: dt.date, time: dt.time, zone: str) -> dt.datetime:
    """Return the moment, in UTC, at which the shop's clocks show a local date and time.

    A time that is skipped when clocks go forward means the moment of the change. A time that
    comes twice when clocks go back means the first. So later wall times never come earlier.
    """
    tz = zoneinfo.ZoneInfo(zone)
    wall = dt.datetime.combine(date, time.replace(tzinfo=None, fold=0))
    late = wall.replace(tzinfo=tz).astimezone(dt.UTC)
    if late.astimezone(tz).replace(tzinfo=None) == wall:
        return late
    early = wall.replace(tzinfo=tz, fold=1).astimezone(dt.UTC)
    return _change_between(early, late, tz)


def _change_between(early: dt.datetime, late: dt.datetime, tz: dt.tzinfo) -> dt.datetime:
    """Return the second at which the offset from UTC changes between two moments."""
    before = early.astimezone(tz).utcoffset()
    low, high = 0, int((late - early).total_seconds())
    while high - low > 1:
        middle = (low + high) // 2
        moment = early + dt.timedelta(seconds=middle)
        if moment.astimezone(tz).utcoffset() == before:
            low = middle
        else:
            high = middle
    return early + dt.timedelta(seconds=high)


def shop_day(now: dt.datetime, zone: str) -> ShopDay:
    """Return the shop's local day at a moment."""
    return day_bounds(_aware(now).astimezone(zoneinfo.ZoneInfo(zone)).date(), zone)


def day_bounds(date: dt.date, zone: str) -> ShopDay:
    """Return a local date with the moments at which it starts and ends."""
    return ShopDay(date, utc_of(date, _MIDNIGHT, zone), utc_of(date + _DAY, _MIDNIGHT, zone))


def due_utc(order: Order, zone: str) -> dt.datetime:
    """Return the moment by which an order is due: a date means the end of that day.

    A time with an offset of its own means that moment, whatever the shop's zone.
    """
    due = order.due
    if not isinstance(due, dt.datetime):
        return day_bounds(due, zone).end_utc
    if due.tzinfo is not None:
        return due.astimezone(dt.UTC)
    return utc_of(due.date(), due.time(), zone)


def stretches(
    person: Person, zone: str, start_utc: dt.datetime, end_utc: dt.datetime
) -> list[Interval]:
    """Return when a person has hands free: shift less breaks.

    Parameters
    ----------
    person : whose shifts and breaks, in local time.
    zone : the shop's time zone.
    start_utc, end_utc : only what lies in ``[start_utc, end_utc)`` is returned.

    Returns
    -------
    Intervals in UTC, in order, not overlapping and not touching; a shift past midnight is one.
    """
    if _aware(start_utc) >= _aware(end_utc):
        return []
    shifts = _merged(_spans(person.shifts, zone, start_utc, end_utc))
    breaks = _merged(_spans(person.breaks, zone, start_utc, end_utc))
    return _less(shifts, breaks)


def in_stretches(pattern: Iterable[Stretch], zone: str, moment: dt.datetime) -> bool:
    """Return whether a moment lies in a weekly pattern of local times."""
    a_moment_later = _aware(moment) + dt.timedelta(microseconds=1)
    return any(True for _ in _spans(pattern, zone, moment, a_moment_later))


def _spans(
    pattern: Iterable[Stretch], zone: str, start_utc: dt.datetime, end_utc: dt.datetime
) -> Iterator[Interval]:
    """A weekly pattern laid on the calendar, cut to ``[start_utc, end_utc)``."""
    tz = zoneinfo.ZoneInfo(zone)
    # A stretch begun the day before may reach past midnight into the first day.
    date = start_utc.astimezone(tz).date() - _DAY
    last = end_utc.astimezone(tz).date()
    while date <= last:
        for stretch in pattern:
            if date.weekday() in stretch.days:
                end_date = date if stretch.end > stretch.start else date + _DAY
                start = max(utc_of(date, stretch.start, zone), start_utc)
                end = min(utc_of(end_date, stretch.end, zone), end_utc)
                if start < end:
                    yield start.astimezone(dt.UTC), end.astimezone(dt.UTC)
        date += _DAY


def _merged(spans: Iterable[Interval]) -> list[Interval]:
    merged: list[Interval] = []
    for start, end in sorted(spans):
        if merged and start <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(merged[-1][1], end))
        else:
            merged.append((start, end))
    return merged


def _less(spans: list[Interval], taken: list[Interval]) -> list[Interval]:
    """Spans without what is taken; both merged and in order."""
    left: list[Interval] = []
    for start, end in spans:
        for taken_start, taken_end in taken:
            if taken_start >= end or taken_end <= start:
                continue
            if start < taken_start:
                left.append((start, taken_start))
            start = taken_end
        if start < end:
            left.append((start, end))
    return left


def _aware(moment: dt.datetime) -> dt.datetime:
    if moment.tzinfo is None:
        raise ValueError(f"{moment} has no time zone; give a moment in UTC.")
    return moment
