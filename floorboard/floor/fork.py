"""A copy of the floor to go on from, sharing all that the next entries do not touch."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.floor.floor import Floor
from floorboard.floor.own import own_batch, own_casting, own_mold

if TYPE_CHECKING:
    from collections.abc import Iterable

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
            forked.batches[serial] = own_batch(batch)
    for entry in entries:
        # A batch that is over can still be corrected, or a layer of it be logged late.
        if batch_serial := entry.event.touched_batch():
            _renew_batch(forked, batch_serial)
        if mold := entry.event.touched_mold():
            _own_mold(forked, mold)
        for serial in entry.event.touched_castings():
            if serial in floor.castings:
                forked.castings[serial] = own_casting(floor.castings[serial])
                _own_mold(forked, floor.castings[serial].mold)
                for coat in floor.castings[serial].coats:
                    if coat.batch:
                        _renew_batch(forked, coat.batch)
    return forked


def _renew_batch(floor: Floor, serial: str) -> None:
    if serial in floor.batches:
        floor.batches[serial] = own_batch(floor.batches[serial])


def _own_mold(floor: Floor, mold: str) -> None:
    if mold in floor.molds:
        floor.molds[mold] = own_mold(floor.molds[mold])
