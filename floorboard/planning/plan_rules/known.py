"""What the rules look at: the plan's work in seconds after it was made, beside the facts.

Moments are floats, seconds after `plan.made_at`; the past is negative.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from floorboard.planning.day_times import DayTimes, celsius
from floorboard.planning.hands import hands
from floorboard.planning.in_hand import live_batches, superseded
from floorboard.shop.build import build_of

if TYPE_CHECKING:
    import datetime as dt

    from floorboard.floor.casting import Casting
    from floorboard.floor.floor import Floor
    from floorboard.planning.plan import Plan, PlannedBatch, PlannedTask
    from floorboard.shop.build import Build
    from floorboard.shop.shop import Shop


@dataclass(frozen=True, slots=True)
class Work:
    """A planned task with its times in seconds."""

    task: PlannedTask
    start: float
    end: float

    @property
    def what(self) -> str:
        """The task in words for a message."""
        kind, number = self.task.kind, self.task.index + 1
        if kind in {"layer", "step"}:
            return f"{kind} {number} of {', '.join(self.task.castings)}"
        return f"{kind} of {', '.join(self.task.castings) or self.task.batch}"


@dataclass(slots=True)
class Subject:
    """A casting the plan speaks of: what it is, what is fact, what is planned."""

    serial: str
    mold: str
    build: Build
    fact: Casting | None
    ready: list[Work] = field(default_factory=list)
    layers: dict[int, list[Work]] = field(default_factory=lambda: defaultdict(list))
    demold: list[Work] = field(default_factory=list)
    steps: dict[int, list[Work]] = field(default_factory=lambda: defaultdict(list))

    @property
    def planned(self) -> bool:
        """Whether the plan has any work up to demold for it."""
        return bool(self.ready or any(self.layers.values()) or self.demold)


class Known:
    """The plan, the shop and the floor, made ready for the rules."""

    def __init__(self, shop: Shop, floor: Floor, plan: Plan) -> None:
        self.shop, self.floor, self.plan = shop, floor, plan
        self.until = self.at(plan.until)
        self.times = DayTimes(celsius(floor))
        self.margin = float(shop.shop.pour_margin)
        self.walk = float(shop.shop.walk)
        self.works = [Work(task, self.at(task.start), self.at(task.end)) for task in plan.tasks]
        self.batches = {batch.id: batch for batch in plan.batches}
        self.of_batch: dict[str, list[Work]] = defaultdict(list)
        for work in self.works:
            if work.task.batch is not None:
                self.of_batch[work.task.batch].append(work)
        self.gone = superseded(floor)
        self.serves = {b.serial: s for b, s in live_batches(floor, plan.made_at)}
        self.lost = {entry.casting for entry in plan.lost}
        self.subjects: dict[str, Subject] = {}
        self.strangers: list[str] = []
        self._gather()
        self.stretches = {
            person: [(self.at(first), self.at(last)) for first, last in spans]
            for person, spans in hands(shop, floor, plan.made_at, plan.until).items()
        }

    def at(self, moment: dt.datetime) -> float:
        """Return a moment in seconds after the plan was made."""
        return (moment - self.plan.made_at).total_seconds()

    def _gather(self) -> None:
        planned = {casting.id: casting for casting in self.plan.castings}
        for serial, casting in self.floor.castings.items():
            if not casting.closed or serial in planned:
                self.subjects[serial] = Subject(serial, casting.mold, casting.build, casting)
        for serial, entry in planned.items():
            if serial not in self.subjects and entry.piece in self.shop.pieces:
                build = build_of(self.shop, entry.piece)
                self.subjects[serial] = Subject(serial, entry.mold, build, None)
        for work in self.works:
            for serial in work.task.castings:
                subject = self.subjects.get(serial)
                if subject is None:
                    self.strangers.append(serial)
                else:
                    _file(subject, work)

    def works_by_person(self) -> dict[str, list[Work]]:
        """Return each person's work by start."""
        found: dict[str, list[Work]] = defaultdict(list)
        for work in sorted(self.works, key=lambda work: (work.start, work.end)):
            found[work.task.person].append(work)
        return found

    def applied(self, subject: Subject, layer: int) -> tuple[float, float, bool] | None:
        """Return when a layer's application ends, the factor of its cure and whether it is fact."""
        fact = subject.fact
        # A layer logged before the one below it counts for nothing until that one is there.
        if fact is not None and layer < fact.layers_applied:
            coat = fact.coats[layer]
            at = coat.applied_at or fact.begun_at
            return self.at(at), coat.cure_factor, True
        works = subject.layers.get(layer)
        if not works:
            return None
        return works[0].end, self.cure_factor(subject, works[0], layer), False

    def cure_factor(self, subject: Subject, work: Work, layer: int) -> float:
        """Return what the cure after a planned layer is multiplied by."""
        logged = self.floor.batches.get(work.task.batch or "")
        if logged is not None:
            return logged.cure_factor
        fact = subject.fact
        if fact is not None and work.task.fixed:
            return fact.coats[layer].cure_factor
        return self.times.of(subject.build.mix_of_layer(layer)).cure_factor

    def chosen(self, subject: Subject) -> bool:
        """Return whether the plan chose any work up to demold for a casting.

        Work in hand, and the pours of a batch in hand, are no choice.
        """
        works = [*subject.ready, *subject.demold]
        works += [work for layer in subject.layers.values() for work in layer]
        return any(
            not work.task.fixed and (work.task.batch or "") not in self.floor.batches
            for work in works
        )

    def batch_is_fact(self, batch: PlannedBatch) -> bool:
        """Return whether a planned batch was begun on the floor."""
        return batch.id in self.floor.batches


def _file(subject: Subject, work: Work) -> None:
    kind = work.task.kind
    if kind == "ready":
        subject.ready.append(work)
    elif kind == "layer":
        subject.layers[work.task.index].append(work)
    elif kind == "demold":
        subject.demold.append(work)
    elif kind == "step":
        subject.steps[work.task.index].append(work)
