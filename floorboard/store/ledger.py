"""The floor together with what the tables keep of it beyond its state."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from floorboard.floor.floor import Floor
from floorboard.floor.own import own_batch, own_casting, own_mold

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Container, Iterable

    from floorboard.floor.batch import Batch
    from floorboard.floor.casting import Casting
    from floorboard.floor.events import AnyEvent


# The floor's own flags are about entries that fit nothing; the latest are enough to show.
FLOOR_FLAGS = 200


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
    """A floor and its marks, each under the serial number it belongs to.

    `perhaps_closed` names the castings and batches that may be closed by now; all others are open
    or needed by one that is.
    """

    floor: Floor = field(default_factory=Floor)
    castings: dict[str, CastingMark] = field(default_factory=dict)
    batches: dict[str, BatchMark] = field(default_factory=dict)
    perhaps_closed: set[str] = field(default_factory=set)

    def branch(self, events: Iterable[AnyEvent]) -> Ledger:
        """Return a ledger on which these events may be folded without changing this one.

        Readers hold on to the floor they were given, so what the events can touch is copied: the
        castings they name, with their molds, and the batches that serve those.
        """
        old = self.floor
        floor = Floor(
            castings=dict(old.castings),
            batches=dict(old.batches),
            molds=dict(old.molds),
            away=dict(old.away),
            conditions=old.conditions,
            conditions_at=old.conditions_at,
            flags=old.flags[-FLOOR_FLAGS:],
            last_seq=old.last_seq,
            last_at=old.last_at,
        )
        for event in events:
            _own(floor, old, event)
        return Ledger(floor, dict(self.castings), dict(self.batches), set(self.perhaps_closed))

    def drop_closed(self, but: Container[str | None]) -> None:
        """Forget what is closed; an entry that comes back to it reads it from its table again."""
        castings, batches = self.floor.castings, self.floor.batches
        closed = [
            serial
            for serial in self.perhaps_closed
            if serial in castings and castings[serial].closed
        ]
        over = [
            serial for serial in self.perhaps_closed if serial in batches and batches[serial].over
        ]
        self.perhaps_closed = set()
        for serial in closed:
            if serial in but:
                self.perhaps_closed.add(serial)
                continue
            # Its batches were kept for its sake.
            over += [c.batch for c in castings[serial].coats if c.batch in batches]
            del castings[serial], self.castings[serial]
        needed = needed_batches(castings.values()) if over else set()
        for serial in over:
            if serial in needed or serial in but:
                self.perhaps_closed.add(serial)
            elif serial in batches and batches[serial].over:
                del batches[serial], self.batches[serial]

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
    """Copy what one event can change, unless another event's copy is there already."""
    molds, batches = {event.touched_mold()}, {event.touched_batch()}
    for serial in event.touched_castings():
        casting = old.castings.get(serial)
        if casting is None or event.kind == "batch begun" or event.kind == "noted":
            continue
        floor.castings[serial] = own_casting(floor.castings[serial], event.kind)
        molds.add(casting.mold)
        if event.kind == "layer begun" or event.kind == "layer applied":
            batches |= {coat.batch for coat in casting.coats[event.layer : event.layer + 1]}
        elif event.kind == "casting rejected":
            # It leaves every batch that was to serve it.
            batches |= {
                name for name, batch in old.batches.items() if _serves(batch, casting.serial)
            }
    for batch in batches:
        if batch in old.batches and floor.batches[batch] is old.batches[batch]:
            floor.batches[batch] = own_batch(old.batches[batch])
    for mold in molds:
        if mold in old.molds and floor.molds[mold] is old.molds[mold]:
            floor.molds[mold] = own_mold(old.molds[mold])


def _serves(batch: Batch, casting: str) -> bool:
    return any(serving.casting == casting for serving in batch.servings)
