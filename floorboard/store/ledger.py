"""The floor together with what the tables keep of it beyond its state."""

from __future__ import annotations

import copy
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from floorboard.floor.floor import Floor

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Container, Iterable

    from floorboard.floor.batch import Batch
    from floorboard.floor.casting import Casting
    from floorboard.floor.events import AnyEvent


@dataclass(frozen=True, slots=True)
class CastingMark:
    """What the log says of a casting beside its state.

    `pull_seq` is the entry that made it count as a pull of its mold; `reject_step` or
    `reject_layer`, counted from 0, where it stood when it was rejected.
    """

    begun_seq: int
    build: str
    pull_seq: int | None = None
    reject_step: int | None = None
    reject_layer: int | None = None


@dataclass(frozen=True, slots=True)
class BatchMark:
    """What the log says of a batch beside its state; `made_at` is when it was first poured."""

    begun_seq: int
    made_at: dt.datetime | None = None


@dataclass(slots=True)
class Ledger:
    """A floor and its marks, each under the serial number it belongs to."""

    floor: Floor = field(default_factory=Floor)
    castings: dict[str, CastingMark] = field(default_factory=dict)
    batches: dict[str, BatchMark] = field(default_factory=dict)

    def branch(self, events: Iterable[AnyEvent]) -> Ledger:
        """Return a ledger on which these events may be folded without changing this one.

        Readers hold on to the floor they were given, so what the events can touch is copied:
        the castings they name with their molds and batches, and every open batch.
        """
        old = self.floor
        floor = Floor(
            castings=dict(old.castings),
            batches={k: b if b.over else _own_batch(b) for k, b in old.batches.items()},
            molds=dict(old.molds),
            away=dict(old.away),
            conditions=old.conditions,
            conditions_at=old.conditions_at,
            flags=list(old.flags),
            last_seq=old.last_seq,
            last_at=old.last_at,
        )
        for event in events:
            _own(floor, old, event)
        return Ledger(floor, dict(self.castings), dict(self.batches))

    def drop_closed(self, but: Container[str]) -> None:
        """Forget what is closed; an entry that comes back to it reads it from its table again."""
        for casting in [c for c in self.floor.castings.values() if c.closed]:
            if casting.serial not in but:
                self._forget_casting(casting.serial)
        needed = needed_batches(self.floor.castings.values())
        for batch in [b for b in self.floor.batches.values() if b.over]:
            if batch.serial not in needed and batch.serial not in but:
                del self.floor.batches[batch.serial]
                self.batches.pop(batch.serial, None)

    def _forget_casting(self, serial: str) -> None:
        del self.floor.castings[serial]
        self.castings.pop(serial, None)

    def in_log_order(self) -> None:
        """Put castings and batches in the order in which they were begun, as the fold has them."""
        castings, batches = self.floor.castings, self.floor.batches
        self.floor.castings = {
            serial: castings[serial]
            for serial in sorted(castings, key=lambda serial: self.castings[serial].begun_seq)
        }
        self.floor.batches = {
            serial: batches[serial]
            for serial in sorted(batches, key=lambda serial: self.batches[serial].begun_seq)
        }


def needed_batches(castings: Iterable[Casting]) -> set[str]:
    """Return the batches, open or not, without which these castings could not be folded on."""
    return {
        coat.batch
        for casting in castings
        for coat in casting.coats
        if coat.batch is not None and coat.applied_at is None
    }


def _own(floor: Floor, old: Floor, event: AnyEvent) -> None:
    molds = {event.touched_mold()}
    batches = {event.touched_batch()}
    for serial in event.touched_castings():
        casting = old.castings.get(serial)
        if casting is not None and floor.castings[serial] is casting:
            floor.castings[serial] = _own_casting(casting)
            molds.add(casting.mold)
            batches |= {coat.batch for coat in casting.coats}
    for batch in batches:
        if batch in old.batches and floor.batches[batch] is old.batches[batch]:
            floor.batches[batch] = _own_batch(old.batches[batch])
    for mold in molds:
        if mold in old.molds and floor.molds[mold] is old.molds[mold]:
            floor.molds[mold] = copy.copy(old.molds[mold])


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
