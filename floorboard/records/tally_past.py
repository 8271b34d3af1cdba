"""What a tally is made from, and how each casting stood at the two ends of the stretch."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterable, Mapping, Sequence

    from floorboard.floor import history_rows as h
    from floorboard.floor.casting import Casting
    from floorboard.shop.build import Build
    from floorboard.shop.shop import Shop

Stand = Literal["not begun", "in progress", "good", "scrapped"]


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch `[start, end)` of time, and the moment it is looked at; all aware UTC."""

    start: dt.datetime
    end: dt.datetime
    now: dt.datetime

    @property
    def until(self) -> dt.datetime:
        """The end, or now if that comes first."""
        return min(self.end, max(self.start, self.now))


@dataclass(slots=True)
class Past:
    """All that is read for one tally.

    Parameters
    ----------
    at_start, at_end
        Castings as they stood then: all those in progress at the end, and those sent back later.
    works
        Tasks that ended in the stretch; `running_over` those that ended soon after it.
    flags
        The first of `flag_count`.
    finished, orders_since
        Good castings that may count for an order, in the order finished, taken as far as needed;
        and when each order was first known.
    shop_since
        When the shop was first loaded; before that no one is counted as there. None if unknown.
    """

    shop: Shop
    builds: Mapping[str, Build]
    castings: Sequence[h.CastingRow]
    at_start: Mapping[str, Casting] = field(default_factory=dict)
    at_end: Mapping[str, Casting] = field(default_factory=dict)
    works: Sequence[h.WorkRow] = ()
    running_over: Sequence[h.WorkRow] = ()
    reworks: Sequence[h.ReworkRow] = ()
    batches: Sequence[h.BatchSum] = ()
    weighed_batches: Sequence[h.WeighedSum] = ()
    materials: Sequence[h.MaterialSum] = ()
    layers: Sequence[h.LayerSum] = ()
    presences: Sequence[h.Presence] = ()
    flags: Sequence[h.FlagRow] = ()
    flag_count: int = 0
    log_counts: Sequence[h.LogCount] = ()
    finished: Iterable[h.FinishedRow] = ()
    orders_since: Mapping[str, dt.datetime] = field(default_factory=dict)
    shop_since: dt.datetime | None = None
    order: str | None = None


def unsure_at(row: h.CastingRow, moment: dt.datetime) -> bool:
    """Whether a casting's row cannot say how it stood: it was sent back at that moment or later.

    What had been done before is no longer in the row; its entries tell.
    """
    return (
        row.sent_back_at is not None
        and row.sent_back_at >= moment
        and row.begun_at < moment
        and not (row.rejected_at is not None and row.rejected_at < moment)
    )


def stand_at(row: h.CastingRow, moment: dt.datetime, folded: Mapping[str, Casting]) -> Stand:
    """Return how a casting stood at a moment, not counting what happened then or later."""
    if row.begun_at >= moment:
        return "not begun"
    if row.rejected_at is not None and row.rejected_at < moment:
        return "scrapped"
    if unsure_at(row, moment) and row.serial in folded:
        return "good" if folded[row.serial].finished_at is not None else "in progress"
    if row.finished_at is not None and row.finished_at < moment:
        return "good"
    return "in progress"
