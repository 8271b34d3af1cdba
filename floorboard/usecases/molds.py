"""Read the past for the report on molds."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from typing import TYPE_CHECKING

from floorboard.records.mold_report import WEAR_REASONS, MoldPast, mold_report
from floorboard.usecases.open_orders import missing_by_due

if TYPE_CHECKING:
    from floorboard.records.mold_report_model import MoldReport
    from floorboard.shop.shop import Shop
    from floorboard.usecases.history_port import History

RECENT_DAYS = 28
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
    past = MoldPast(
        shop=shop,
        pieces_of_molds={one.casting.mold: one.casting.piece for one in made},
        pulls=history.pulls(),
        recent=history.pulls_between(now - dt.timedelta(days=RECENT_DAYS), now),
        recent_days=RECENT_DAYS,
        events=history.mold_events(now + _LATER),
        notes=history.mold_notes(now - _NOTES, now + _LATER),
        wear_rejects=wear,
        missing=missing_by_due(history, shop, now + _LATER),
    )
    return mold_report(past, now, lead_days)
