"""Read the past for the report on molds."""

from __future__ import annotations

import datetime as dt
import math
from collections import Counter
from typing import TYPE_CHECKING

from floorboard.records.mold_report import WEAR_REASONS, MoldPast, mold_report
from floorboard.usecases.open_orders import missing_by_due

if TYPE_CHECKING:
    from floorboard.records.mold_report_model import MoldReport
    from floorboard.shop.shop import Shop
    from floorboard.usecases.history_port import History

RECENT_DAYS = 28
# A log younger than RECENT_DAYS tells the rate of its own days, though never of less than a week.
LEAST_DAYS = 7
# From ordering a mold to using it, unless told otherwise; the shop's own figure, no source.
LEAD_DAYS = 14
_NOTES = dt.timedelta(days=365)
_LATER = dt.timedelta(days=1)


def take_molds(
    history: History, shop: Shop, now: dt.datetime, lead_days: int = LEAD_DAYS
) -> MoldReport:
    """Return the report on the molds as of now."""
    made = history.made(now - _NOTES, now + _LATER)
    wear = Counter(one.casting.mold for one in made if (one.casting.reason or "") in WEAR_REASONS)
    days = _recent_days(history, now)
    past = MoldPast(
        shop=shop,
        pieces_of_molds={one.casting.mold: one.casting.piece for one in made},
        pulls=history.pulls(),
        recent=history.pulls_between(now - dt.timedelta(days=days), now),
        recent_days=days,
        events=history.mold_events(now + _LATER),
        notes=history.mold_notes(now - _NOTES, now + _LATER),
        wear_rejects=wear,
        missing=missing_by_due(history, shop, now + _LATER),
        under_way=Counter(
            row.piece
            for row in history.castings(now, now + _LATER)
            if row.finished_at is None and row.rejected_at is None
        ),
    )
    return mold_report(past, now, lead_days)


def _recent_days(history: History, now: dt.datetime) -> int:
    first = history.first_begun()
    age = RECENT_DAYS if first is None else math.ceil((now - first) / dt.timedelta(days=1))
    return min(RECENT_DAYS, max(LEAST_DAYS, age))
