"""Read the past for a quality report."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from floorboard.records.quality import BASELINE, Made, quality_of
from floorboard.shop.calendar import day_bounds

if TYPE_CHECKING:
    from floorboard.records.quality_model import QualityReport
    from floorboard.shop.shop import Shop
    from floorboard.usecases.history_port import History


def take_quality(
    history: History, shop: Shop, first: dt.date, last: dt.date, baseline: int = BASELINE
) -> QualityReport:
    """Return the quality report of local days, both included."""
    start, end = (
        day_bounds(first, shop.shop.zone).start_utc,
        day_bounds(last, shop.shop.zone).end_utc,
    )
    made = history.made(start, end)
    begun = min((one.casting.begun_at for one in made), default=start) - dt.timedelta(days=1)
    past = Made(
        shop=shop,
        builds=history.builds,
        made=made,
        readings=history.readings(begun, end),
        inspections=history.inspections(start, end),
        reworks=history.reworks(start, end),
        lots=history.lots_of_batches(begun, end),
        air=history.air(begun, end),
    )
    return quality_of(past, start, end, first, last, baseline)
