"""A copy of the floor to go on from, sharing all that the next entries do not touch."""

from __future__ import annotations

import copy
from typing import TYPE_CHECKING

from floorboard.floor.floor import Floor

if TYPE_CHECKING:
    from collections.abc import Iterable

    from floorboard.floor.batch import Batch
    from floorboard.floor.casting import Casting
    from floorboard.floor.events import Entry


def fork(floor: Floor, entries: Iterable[Entry]) -> Floor:
    """Return a floor equal to this one on which `entries` may be folded without changing this one.

    Only what the entries can touch is copied: the castings, molds and batches they name, the batches
    of those castings, and the open ones.
    """
    forked = Floor(
        castings=dict(floor.castings),
        batches=dict(floor.batches),
        molds=dict(floor.molds),
        away=dict(floor.away),
        conditions=floor.conditions,
        conditions_at=floor.conditions_at,
        flags=list(floor.flags),
        last_seq=floor.last_seq,
        last_at=floor.last_at,
    )
    for serial, batch in floor.batches.items():
        if not batch.over:
            forked.batches[serial] = _own_batch(batch)
    for entry in entries:
        # A batch that is over can still be corrected, or a layer of it be logged late.
        if batch_serial := entry.event.touched_batch():
            _renew_batch(forked, batch_serial)
        if mold := entry.event.touched_mold():
            _own_mold(forked, mold)
        for serial in entry.event.touched_castings():
            if serial in floor.castings:
                forked.castings[serial] = _own_casting(floor.castings[serial])
                _own_mold(forked, floor.castings[serial].mold)
                for coat in floor.castings[serial].coats:
                    if coat.batch:
                        _renew_batch(forked, coat.batch)
    return forked


def _renew_batch(floor: Floor, serial: str) -> None:
    if serial in floor.batches:
        floor.batches[serial] = _own_batch(floor.batches[serial])


def _own_mold(floor: Floor, mold: str) -> None:
    if mold in floor.molds:
        floor.molds[mold] = copy.copy(floor.molds[mold])


def _own_batch(batch: Batch) -> Batch:
    own = copy.copy(batch)
    own.weighed = list(batch.weighed)
    own.served = set(batch.served)
    return own


def _own_casting(casting: Casting) -> Casting:
    own = copy.copy(casting)
    own.coats = [copy.copy(coat) for coat in casting.coats]
    own.steps = [copy.copy(step) for step in casting.steps]
    own.weighings = list(casting.weighings)
    own.walls_mm = list(casting.walls_mm)
    own.flags = list(casting.flags)
    return own
