"""The people and the habits of a made-up shop's days."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING

from floorboard.shop.calendar import day_bounds, stretches

if TYPE_CHECKING:
    from collections.abc import Sequence

    from floorboard.floor.events import AnyEvent
    from floorboard.shop.shop import Shop


@dataclass(frozen=True, slots=True)
class Habits:
    """How often things happen, as shares, and how work varies; all invented.

    From `thin_from` on every layer is laid `thin_by` (a share) thinner.
    """

    begin: float = 0.9
    rejected_at_layer: float = 0.01
    rejected_at_demold: float = 0.03
    window_lost_rejected: float = 0.5
    sent_back: float = 0.05
    found_bad_later: float = 0.01
    batch_lost: float = 0.01
    struck_entry: float = 0.01
    struck_next_morning: float = 0.005
    logged_twice: float = 0.01
    impossible_weight: float = 0.003
    person_away: float = 0.04
    duration_spread: float = 0.12
    layer_spread: float = 0.02
    thin_from: dt.date | None = None
    thin_by: float = 0.0
    days_off: frozenset[dt.date] = frozenset()


@dataclass(frozen=True, slots=True)
class Logged:
    """One line to be logged. A strike has no event but the handle of the line it strikes."""

    handle: int
    at: dt.datetime
    logged_at: dt.datetime
    person: str
    event: AnyEvent | None
    strikes: int | None = None


@dataclass(slots=True)
class Hand:
    """A person on one day: when they have hands free, and from when on."""

    name: str
    shift: Sequence[tuple[dt.datetime, dt.datetime]]
    free_at: dt.datetime

    def earliest(self, ready: dt.datetime, seconds: float) -> dt.datetime | None:
        """Return when so long a task could start, not across a break; None if not today."""
        length = dt.timedelta(seconds=seconds)
        for start, end in self.shift:
            at = max(ready, self.free_at, start)
            if at + length <= end:
                return at
        return None


def hands_on(shop: Shop, date: dt.date) -> list[Hand]:
    """Return the people of a day, earliest shift first."""
    bounds = day_bounds(date, shop.shop.zone)
    found = []
    for name, person in shop.people.items():
        shift = stretches(person, shop.shop.zone, bounds.start_utc, bounds.end_utc)
        if shift:
            found.append(Hand(name, shift, shift[0][0]))
    return sorted(found, key=lambda hand: (hand.shift[0][0], hand.name))


def earliest_hand(
    hands: Sequence[Hand], ready: dt.datetime, seconds: float
) -> tuple[dt.datetime, Hand] | None:
    """Return who can start a task first, and when."""
    found = [(at, hand) for hand in hands if (at := hand.earliest(ready, seconds)) is not None]
    return min(found, key=lambda pair: (pair[0], pair[1].name), default=None)
