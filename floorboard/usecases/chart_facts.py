"""Read the past for the board's charts, in one go."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING

from floorboard.shop.calendar import shop_day
from floorboard.usecases.molds import take_molds
from floorboard.usecases.quality import take_quality

if TYPE_CHECKING:
    from floorboard.floor.history_rows import WorkRow
    from floorboard.records.mold_report_model import MoldReport
    from floorboard.records.quality_model import QualityReport
    from floorboard.shop.shop import Shop
    from floorboard.usecases.history_port import History

# Weights are charted over so many days.
WEIGHT_DAYS = 90


@dataclass(frozen=True, slots=True)
class ChartFacts:
    """What the charts are drawn from: the day's work, the molds, the weeks' weights."""

    works: tuple[WorkRow, ...]
    molds: MoldReport
    quality: QualityReport


def chart_facts(history: History, shop: Shop, now: dt.datetime) -> ChartFacts:
    """Return what the charts of the shop's day are drawn from."""
    day = shop_day(now, shop.shop.zone)
    first = day.date - dt.timedelta(days=WEIGHT_DAYS)
    return ChartFacts(
        works=tuple(history.works(day.start_utc, day.end_utc)),
        molds=take_molds(history, shop, now),
        quality=take_quality(history, shop, first, day.date),
    )
