"""The floor: every open casting, batch, mold and person, as the log says they stand."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterator

    from floorboard.floor.batch import Batch
    from floorboard.floor.casting import Casting, Flag
    from floorboard.floor.events import ConditionsRead, Serving


@dataclass(slots=True)
class MoldState:
    """What the log says of a mold. `pulls` counts only what was logged here."""

    pulls: int = 0
    pulls_at_care: int = 0
    in_service: bool | None = None
    rests_until: dt.datetime | None = None


@dataclass(frozen=True, slots=True)
class InHand:
    """The hands-on task a person has begun and not ended."""

    person: str
    kind: str
    since: dt.datetime
    casting: str | None = None
    batch: str | None = None
    index: int = 0
    castings: tuple[str, ...] = ()


@dataclass(slots=True)
class Floor:
    """The state of the floor after entry `last_seq`. Written only by the fold.

    `castings` holds at least every open casting; closed ones are kept only as long as the fold
    was given their entries.
    """

    castings: dict[str, Casting] = field(default_factory=dict)
    batches: dict[str, Batch] = field(default_factory=dict)
    molds: dict[str, MoldState] = field(default_factory=dict)
    away: dict[str, dt.datetime] = field(default_factory=dict)
    conditions: ConditionsRead | None = None
    conditions_at: dt.datetime | None = None
    flags: list[Flag] = field(default_factory=list)
    last_seq: int = 0
    last_at: dt.datetime | None = None

    def open_castings(self) -> Iterator[Casting]:
        """Yield the castings with something still to be done."""
        return (casting for casting in self.castings.values() if not casting.closed)

    def casting_in(self, mold: str) -> Casting | None:
        """Return the casting a mold holds, the latest begun if the log has two."""
        held = [c for c in self.castings.values() if c.mold == mold and c.in_mold]
        return max(held, key=lambda casting: casting.begun_at, default=None)

    def open_batches(self) -> Iterator[Batch]:
        """Yield the batches with layers still to serve.

        One whose castings are all gone, struck from the log or out of their molds, is over.
        """
        batches = self.batches.values()
        return (batch for batch in batches if not batch.over and self.still_served(batch))

    def still_served(self, batch: Batch) -> tuple[Serving, ...]:
        """Return the layers that a batch can still serve, in order.

        Not those of castings that left their molds, nor those another batch went into.
        """
        found = []
        for serving in batch.to_serve():
            casting = self.castings.get(serving.casting)
            if casting is None or not casting.in_mold or serving.layer >= len(casting.coats):
                continue
            coat = casting.coats[serving.layer]
            elsewhere = coat.begun_at is not None and coat.batch not in {None, batch.serial}
            if coat.applied_at is None and not elsewhere:
                found.append(serving)
        return tuple(found)

    def in_hand(self, person: str) -> InHand | None:
        """Return what a person is in the midst of; the latest begun if the log has several."""
        tasks = [task for task in self.all_in_hand() if task.person == person]
        return max(tasks, key=lambda task: task.since, default=None)

    def batch_of(self, person: str) -> Batch | None:
        """Return the batch a person has in hand, whatever else they began besides; the latest."""
        batches = [batch for batch in self.open_batches() if batch.person == person]
        return max(batches, key=lambda batch: batch.begun_at, default=None)

    def all_in_hand(self) -> Iterator[InHand]:
        """Yield every hands-on task begun and not ended."""
        for batch in self.open_batches():
            if batch.person is not None:
                yield InHand(batch.person, "batch", batch.begun_at, batch=batch.serial)
        sessions: dict[tuple[str, int, dt.datetime], list[str]] = {}
        for casting in self.open_castings():
            yield from self._alone_in_hand(casting)
            for index, step in enumerate(casting.steps):
                if step.begun_at is not None and step.done_at is None and step.person is not None:
                    key = (step.person, index, step.begun_at)
                    sessions.setdefault(key, []).append(casting.serial)
        for (person, index, since), serials in sessions.items():
            yield InHand(person, "step", since, serials[0], None, index, tuple(serials))

    def _alone_in_hand(self, casting: Casting) -> Iterator[InHand]:
        serial = casting.serial
        if casting.readied_at is None and casting.layers_applied == 0 and casting.begun_by:
            yield InHand(casting.begun_by, "ready", casting.begun_at, serial)
        if casting.demold_begun_at and casting.demolded_at is None and casting.demold_by:
            yield InHand(casting.demold_by, "demold", casting.demold_begun_at, serial)
        for index, coat in enumerate(casting.coats):
            loose = coat.batch is None or coat.batch not in self.batches
            if coat.begun_at and coat.applied_at is None and coat.person and loose:
                yield InHand(coat.person, "layer", coat.begun_at, serial, None, index)
