"""Local dates and times as people type them."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

import click

from floorboard.floor.event_fields import countable
from floorboard.shop.calendar import day_bounds, utc_of

if TYPE_CHECKING:
    from floorboard.shop.shop import Shop


def moment_of(text: str, shop: Shop) -> dt.datetime:
    """Return a local date and time, such as "2026-03-12 07:30", as a moment in UTC.

    Raises
    ------
    click.BadParameter
        In a sentence, if it is no date and time.
    """
    try:
        local = dt.datetime.fromisoformat(text)
    except ValueError:
        raise click.BadParameter(
            f"found {text!r}, expected a local time such as '2026-03-12 07:30'"
        ) from None
    _countable(local)
    if local.tzinfo is not None:
        return local.astimezone(dt.UTC)
    return utc_of(local.date(), local.time(), shop.shop.zone)


def day_of(text: str) -> dt.date:
    """Return a date such as "2026-03-12".

    Raises
    ------
    click.BadParameter
        In a sentence, if it is no date.
    """
    try:
        day = dt.date.fromisoformat(text)
    except ValueError:
        raise click.BadParameter(f"found {text!r}, expected a date such as '2026-03-12'") from None
    _countable(day)
    return day


def _countable(day: dt.date) -> None:
    try:
        countable(day)
    except ValueError as error:
        raise click.BadParameter(str(error)) from None


def range_of(first: dt.date, last: dt.date, shop: Shop) -> tuple[dt.datetime, dt.datetime]:
    """Return the moments between which the local days from `first` to `last` lie.

    Raises
    ------
    click.BadParameter
        In a sentence, if the last day comes before the first.
    """
    if last < first:
        raise click.BadParameter(f"the range ends on {last}, before it begins on {first}")
    zone = shop.shop.zone
    return day_bounds(first, zone).start_utc, day_bounds(last, zone).end_utc
