"""Read how long tasks took, say which times to plan with, and take a decision on them."""

from __future__ import annotations

import datetime as dt
import zoneinfo
from typing import TYPE_CHECKING

from floorboard.floor import events as e
from floorboard.records.task_times import tasks_of
from floorboard.records.times_report import time_lines, times_report
from floorboard.shop.calendar import shop_day
from floorboard.shop.errors import FloorboardError
from floorboard.usecases import changes

if TYPE_CHECKING:
    from floorboard.records.times_model import TimeLine, TimesReport
    from floorboard.records.times_report import Use
    from floorboard.shop.shop import Shop
    from floorboard.usecases.changes import Hand
    from floorboard.usecases.history_port import History
    from floorboard.usecases.ports import Store

# Times are learned from so many of the last days; the shop's own rule, no source.
LEARN_DAYS = 90


class NoSuchTask(FloorboardError):
    """The shop has no hands-on task of that name."""


def take_times(
    history: History, shop: Shop, now: dt.datetime, days: int = LEARN_DAYS
) -> TimesReport:
    """Return the report on the last days."""
    last = shop_day(now, shop.shop.zone).date
    first = last - dt.timedelta(days=days - 1)
    works = history.works(now - dt.timedelta(days=days), now + dt.timedelta(days=1))
    zone = zoneinfo.ZoneInfo(shop.shop.zone)
    return times_report(works, shop, history.decisions(), (first, last), zone)


def planned_times(
    history: History, shop: Shop, decisions: dict[str, Use], now: dt.datetime
) -> tuple[TimeLine, ...]:
    """Return the times to plan with."""
    start = now - dt.timedelta(days=LEARN_DAYS)
    works = history.works(start, now + dt.timedelta(days=1))
    return time_lines(works, shop, decisions)


def decide(store: Store, shop: Shop, hand: Hand, task: str, use: Use) -> None:
    """Log that a task is planned with the learned time, or with the shop's own.

    Raises
    ------
    NoSuchTask
        If the shop has none of that name.
    """
    known = [one.key for one in tasks_of(shop)]
    if task not in known:
        raise NoSuchTask(
            f"The shop has no task {task!r}. Name it as `floorboard times` does, such as {known[0]!r}."
        )
    changes.log(store, hand, e.TimesDecided(task=task, use=use))
