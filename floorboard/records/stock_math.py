"""When to order material: safety stock, reorder point, days left at the usual rate.

Amounts are in one unit of the caller's choice (grams), rates in that unit a day.
Source: Russell & Taylor, *Operations Management*, reorder point with variable demand.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from floorboard.records.quantiles import quantile
from floorboard.shop.checked_numbers import all_finite, at_least, whole


@dataclass(frozen=True, slots=True)
class ReorderPoint:
    """Stock kept against an unlucky run, and the stock at which to order."""

    safety_stock: float
    reorder_at: float


@dataclass(frozen=True, slots=True)
class StockOutlook:
    """Days until the stock is gone, and until it must be ordered; None at no usual use."""

    days_left: float | None
    order_in_days: float | None
    sentence: str


def reorder_point(
    use_per_day: float,
    sigma_per_day: float,
    lead_days: float,
    score: float,
    *,
    sigma_lead_days: float = 0.0,
) -> ReorderPoint:
    """Reorder point for a use that varies from day to day, and a lead time that may too.

    Parameters
    ----------
    score : normal score of the service wanted; 1.65 covers 95 lead times in 100.
    sigma_lead_days : standard deviation of the lead time, 0 when it is dependable.
    """
    use = at_least(use_per_day, 0, "Use a day")
    lead = at_least(lead_days, 0, "Lead time in days")
    spread = math.hypot(
        at_least(sigma_per_day, 0, "Spread of the use a day") * math.sqrt(lead),
        use * at_least(sigma_lead_days, 0, "Spread of the lead time in days"),
    )
    safety = at_least(score, 0, "The normal score") * spread
    return ReorderPoint(safety, use * lead + safety)


def usual_use_per_day(daily_use: Sequence[float], *, least_days: int = 5) -> float | None:
    """Usual use a day: the mean of past days with the highest and lowest tenth left out.

    Days without work count as 0 if the caller gives them. None with fewer than `least_days`.
    """
    days = all_finite(daily_use, "Use on day", least=0)
    for number, use in enumerate(days, 1):
        at_least(use, 0, f"Use on day {number}")
    if len(days) < whole(least_days, "The least number of days", least=1):
        return None
    low, high = quantile(days, 0.1), quantile(days, 0.9)
    middle = [use for use in days if low <= use <= high]
    return math.fsum(middle) / len(middle)


def stock_outlook(
    material: str, on_hand: float, use_per_day: float | None, point: ReorderPoint | None = None
) -> StockOutlook:
    """How long the stock lasts at the usual rate, and in how many days to order."""
    stock = at_least(on_hand, 0, f"Stock of {material}")
    if use_per_day is None or at_least(use_per_day, 0, "Use a day") == 0:
        return StockOutlook(None, None, f"No usual rate of {material} is known yet.")
    left = stock / use_per_day
    if point is None:
        return StockOutlook(left, None, f"{material} lasts {_days(left)}.")
    order_in = max(0.0, (stock - point.reorder_at) / use_per_day)
    advice = "order now" if order_in < 0.5 else f"order in {_days(order_in)}"
    return StockOutlook(left, order_in, f"{material} lasts {_days(left)}; {advice}.")


def _days(days: float) -> str:
    if days < 0.5:
        return "less than a day"
    return "about 1 day" if round(days) == 1 else f"about {days:.0f} days"
