"""When to order each material: from its lead time and how its use varies from day to day."""

from __future__ import annotations

import datetime as dt
import math
import statistics
from typing import TYPE_CHECKING

from floorboard.records.stock_math import reorder_point

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from floorboard.mixing.stock import Draw
    from floorboard.shop.materials import Material

SECONDS_A_DAY = 86_400.0
# 95 lead times in 100 without running out (normal score).
SERVICE_SCORE = 1.65
# Fewer days than this say nothing of how the use varies.
LEAST_DAYS = 5


def reorder_points(
    materials: Mapping[str, Material], draws: Iterable[Draw], now: dt.datetime, days: float
) -> dict[str, float]:
    """Return grams by material, where a point can be worked out and the shop names none.

    Days without use count as days of no use, from the first draw on.
    """
    wanted = {
        key: float(one.lead_time)
        for key, one in materials.items()
        if one.reorder_at is None and one.lead_time is not None
    }
    used: dict[str, dict[int, float]] = {}
    for draw in draws:
        ago = math.floor((now - draw.at) / dt.timedelta(days=1))
        if draw.material in wanted and 0 <= ago < days:
            by_day = used.setdefault(draw.material, {})
            by_day[ago] = by_day.get(ago, 0.0) + draw.grams
    return {
        key: point
        for key, by_day in used.items()
        if (point := _point(by_day, wanted[key] / SECONDS_A_DAY)) is not None
    }


def _point(by_day: Mapping[int, float], lead_days: float) -> float | None:
    daily = [by_day.get(ago, 0.0) for ago in range(max(by_day) + 1)]
    if len(daily) < LEAST_DAYS:
        return None
    mean = statistics.fmean(daily)
    return reorder_point(mean, statistics.stdev(daily), lead_days, SERVICE_SCORE).reorder_at
