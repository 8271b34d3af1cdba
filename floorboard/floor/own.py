"""Copies of what stands on the floor, to be changed while others go on reading the first."""

from __future__ import annotations

from dataclasses import fields
from operator import attrgetter

from floorboard.floor.batch import Batch
from floorboard.floor.casting import Casting, Coat, StepWork
from floorboard.floor.floor import MoldState

# All fields, in the order in which they are given to the class: `copy.copy` of a slotted class
# takes several times as long, and a casting is copied with every key press.
_casting_fields = attrgetter(*(f.name for f in fields(Casting)))
_batch_fields = attrgetter(*(f.name for f in fields(Batch)))
_mold_fields = attrgetter(*(f.name for f in fields(MoldState)))


def own_batch(batch: Batch) -> Batch:
    """Return a copy of a batch that may be changed."""
    own = Batch(*_batch_fields(batch))
    own.weighed = list(batch.weighed)
    own.served = set(batch.served)
    return own


def own_mold(mold: MoldState) -> MoldState:
    """Return a copy of a mold's state that may be changed."""
    return MoldState(*_mold_fields(mold))


def own_casting(casting: Casting, kind: str | None = None) -> Casting:
    """Return a copy of a casting that may be changed.

    Parameters
    ----------
    kind
        The kind of event that is to change it: of its parts only those that such an event changes
        are copied. All are if it is None.
    """
    own = Casting(*_casting_fields(casting))
    own.flags = list(casting.flags)
    if kind is None or kind == "layer begun" or kind == "layer applied":
        own.coats = [
            Coat(c.begun_at, c.applied_at, c.batch, c.person, c.grams, c.cure_factor)
            for c in casting.coats
        ]
    if kind is None or kind in {"step begun", "step done", "casting sent back"}:
        own.steps = [StepWork(s.begun_at, s.done_at, s.person) for s in casting.steps]
    if kind is None or kind == "casting weighed":
        own.weighings = list(casting.weighings)
    if kind is None or kind == "wall read":
        own.walls_mm = list(casting.walls_mm)
    return own
