"""Which days a tally is asked for, and how to step to the ones before and after. Pure."""

from __future__ import annotations

import calendar
import datetime as dt
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

from floorboard.shop.calendar import shop_day
from floorboard.usecases import tally_stretch

if TYPE_CHECKING:
    from floorboard.records.tally_past import Stretch
    from floorboard.shop.shop import Shop

Kind = Literal["day", "week", "month", "year", "days", "shift", "order"]
STEPPED: tuple[Kind, ...] = ("day", "week", "month", "year", "days")
EARLIEST = dt.date(2000, 1, 1)


@dataclass(frozen=True, slots=True)
class WhichDays:
    """Local days from `first` to `last`, both included; or the shift at hand; or an order."""

    kind: Kind
    first: dt.date
    last: dt.date
    order: str | None = None

    @property
    def steps(self) -> bool:
        """Whether there are days before and after to go to."""
        return self.kind in STEPPED

    def stepped(self, by: int) -> WhichDays:
        """Return the days before (-1) or after (1): as many, or the whole month or year."""
        if self.kind in {"month", "year"}:
            edge = self.first - dt.timedelta(days=1) if by < 0 else self.last + dt.timedelta(days=1)
            return days_of(self.kind, edge)
        count = (self.last - self.first).days + 1
        away = dt.timedelta(days=by * count)
        return replace(self, first=self.first + away, last=self.last + away)

    def stretch(self, shop: Shop, now: dt.datetime) -> tuple[Stretch, str]:
        """Return the stretch of time and what it is called.

        Raises
        ------
        floorboard.shop.errors.FloorboardError
            If there is no such order, or no shift lately.
        """
        if self.kind == "order":
            return tally_stretch.of_order(shop, self.order or "", now)
        if self.kind == "shift":
            return tally_stretch.of_shift(shop, now)
        return tally_stretch.of_days(shop, self.first, self.last, now)


def days_of(kind: Kind, date: dt.date) -> WhichDays:
    """Return the day, week (from Monday), month or year that a date lies in."""
    match kind:
        case "week":
            first = date - dt.timedelta(days=date.weekday())
            return WhichDays(kind, first, first + dt.timedelta(days=6))
        case "month":
            last = calendar.monthrange(date.year, date.month)[1]
            return WhichDays(kind, date.replace(day=1), date.replace(day=last))
        case "year":
            return WhichDays(kind, dt.date(date.year, 1, 1), dt.date(date.year, 12, 31))
        case _:
            return WhichDays(kind, date, date)


def today(shop: Shop, now: dt.datetime) -> dt.date:
    """Return the shop's date."""
    return shop_day(now, shop.shop.zone).date


def read_date(text: str) -> dt.date:
    """Return a typed date.

    Raises
    ------
    ValueError
        In a sentence that says how to type it.
    """
    try:
        date = dt.date.fromisoformat(text.strip())
    except ValueError:
        date = dt.date.min
    if not EARLIEST <= date <= dt.date(2999, 12, 31):
        raise ValueError(f"Found {text[:30]!r}; type a date such as 2026-03-12.")
    return date
