"""Everything else that is logged by a key: reject, send back, set aside, skip, strike, notes.

Each verb returns the entries it logged. None deletes anything.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING

from floorboard.floor import events as e

if TYPE_CHECKING:
    from floorboard.usecases.ports import Store


@dataclass(frozen=True, slots=True)
class Hand:
    """Who keys something in, where and when. `at` is when it happened."""

    person: str | None
    station: str
    at: dt.datetime
    logged_at: dt.datetime


def log(store: Store, hand: Hand, *events: e.AnyEvent) -> list[e.Entry]:
    """Log these events as of the hand's moment, all or none."""
    return store.append(
        [(hand.at, event) for event in events],
        logged_at=hand.logged_at,
        person=hand.person,
        station=hand.station,
    )


def reject(
    store: Store, hand: Hand, casting: str, reason: str, layer: int | None = None, note: str = ""
) -> list[e.Entry]:
    """Scrap a casting. Its mold is free again."""
    return log(
        store, hand, e.CastingRejected(casting=casting, reason=reason, layer=layer, note=note)
    )


def send_back(
    store: Store, hand: Hand, casting: str, step: int, reason: str, note: str = ""
) -> list[e.Entry]:
    """Send a casting back to an earlier step of its finishing route."""
    return log(store, hand, e.CastingSentBack(casting=casting, step=step, reason=reason, note=note))


def set_aside(store: Store, hand: Hand, casting: str) -> list[e.Entry]:
    """Pause work on a casting; its cures run on."""
    return log(store, hand, e.CastingSetAside(casting=casting))


def take_up(store: Store, hand: Hand, casting: str) -> list[e.Entry]:
    """Go on with a casting that was set aside."""
    return log(store, hand, e.CastingTakenUp(casting=casting))


def rest_mold(store: Store, hand: Hand, mold: str, seconds: float) -> list[e.Entry]:
    """Skip an empty mold: nothing is begun in it for a while."""
    until = hand.at + dt.timedelta(seconds=seconds)
    return log(store, hand, e.MoldRested(mold=mold, until=until))


def lose_batch(store: Store, hand: Hand, batch: str, reason: str = "") -> list[e.Entry]:
    """Say that a batch set in the bucket or was thrown away."""
    return log(store, hand, e.BatchLost(batch=batch, reason=reason))


def strike(store: Store, hand: Hand, seq: int, reason: str = "") -> e.Entry:
    """Strike an entry: it stays readable and counts for nothing."""
    return store.strike(
        seq, reason=reason, logged_at=hand.logged_at, person=hand.person, station=hand.station
    )


def last_to_strike(store: Store, station: str | None = None) -> e.Entry | None:
    """Return the entry that strike-last would strike: the latest that still counts.

    Parameters
    ----------
    station
        Only entries keyed at this station, so that nobody strikes a colleague's entry by accident.
    """
    for entry in store.latest(200):
        counts = entry.struck_by is None
        strikable = not isinstance(entry.event, e.EntryStruck | e.ShopLoaded)
        if counts and strikable and station in {None, entry.station}:
            return entry
    return None
