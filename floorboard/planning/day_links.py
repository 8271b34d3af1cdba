"""What each task of a plan waits for: the order of hands, cures, molds, batches and stations."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING

from floorboard.planning.plan_rules.castings import finishing_since
from floorboard.planning.plan_rules.known import Known

if TYPE_CHECKING:
    from floorboard.floor.floor import Floor
    from floorboard.planning.plan import Plan
    from floorboard.planning.plan_rules.known import Subject, Work
    from floorboard.shop.shop import Shop


@dataclass(slots=True)
class Linked:
    """One task as the simulation sees it, in seconds after the plan was made.

    Parameters
    ----------
    after
        `(task, seconds)`: it starts no earlier than so long after the end of that task.
    within
        `(task, seconds)`: starting later than so long after the end of that task, its casting is
        lost.
    closes
        The same for a wait that began in the past: the moment by which it has to start.
    wet_by
        `(making task, seconds)`: ending later than so long after the end of the making, its
        casting is lost, for the batch has set.
    lies_in
        Stretches of its person it has to lie in with all that follows at once; empty where it
        follows a task at once itself or is in hand.
    length, whole
        Its own planned length, and that of all that follows at once with it.
    castings
        Places of its castings among those of the plan.
    """

    start: float
    length: float
    whole: float
    castings: tuple[int, ...]
    after: list[tuple[int, float]] = field(default_factory=list)
    within: tuple[int, float] | None = None
    closes: float | None = None
    wet_by: tuple[int, float] | None = None
    lies_in: list[tuple[float, float]] = field(default_factory=list)


class DayLinks:
    """The tasks of a plan in the order of their starts, linked.

    `castings` lists the names of the castings; `works` the plan's tasks, place by place.
    """

    def __init__(self, shop: Shop, floor: Floor, plan: Plan) -> None:
        self.known = Known(shop, floor, plan)
        self.works = sorted(self.known.works, key=lambda work: (work.start, work.end))
        self.place = {id(work): place for place, work in enumerate(self.works)}
        self.castings = list(self.known.subjects)
        number = {serial: place for place, serial in enumerate(self.castings)}
        self.tasks = [
            Linked(
                start=work.start,
                length=work.end - max(work.start, 0.0)
                if work.task.fixed
                else work.end - work.start,
                whole=work.end - work.start,
                castings=tuple(number[c] for c in work.task.castings if c in number),
            )
            for work in self.works
        ]
        self._hands()
        self._batches()
        for subject in self.known.subjects.values():
            self._layers(subject)
            self._steps(subject)
        self._molds()
        self._stations()
        for task in self.tasks:
            task.after = sorted(set(task.after))

    def _of(self, work: Work) -> Linked:
        return self.tasks[self.place[id(work)]]

    def _link(self, work: Work, after: Work, seconds: float = 0.0) -> None:
        first, then = self.place[id(after)], self.place[id(work)]
        if first < then:
            self.tasks[then].after.append((first, seconds))

    def _hands(self) -> None:
        """People do their tasks one after the other, each within a stretch."""
        last: dict[str, Work] = {}
        for work in self.works:
            person = work.task.person
            if person in last:
                self._link(work, last[person])
            last[person] = work
            if not work.task.fixed:
                self._of(work).lies_in = self.known.stretches.get(person, [])

    def _batches(self) -> None:
        """Pours follow their making and one another at once, before the batch sets."""
        for batch in self.known.plan.batches:
            works = sorted(self.known.of_batch[batch.id], key=lambda work: work.start)
            making = [work for work in works if work.task.kind == "batch"]
            for before, work in pairwise(works):
                self._link(work, before)
                self._of(work).lies_in = []
            if not making or self.known.batch_is_fact(batch):
                continue
            made = self._of(making[0])
            made.whole = self.known.at(batch.end) - making[0].start
            subject = self.known.subjects[batch.servings[0].casting]
            times = self.known.times.of(subject.build.mixes[batch.mix])
            left = times.working - (times.making - times.before_wet)
            for work in works:
                if work.task.kind == "layer":
                    self._of(work).wet_by = (self.place[id(making[0])], left)
            self._made_in_time(works, making[0])

    def _made_in_time(self, works: list[Work], making: Work) -> None:
        """A batch is not begun so early that it would wait for the cure of its first layer."""
        first = next((work for work in works if work.task.kind == "layer"), None)
        if first is None or first.task.index == 0:
            return
        subject = self.known.subjects[first.task.castings[0]]
        before = subject.layers.get(first.task.index - 1)
        if before:
            cure = self._cure(subject, first.task.index - 1, before[0])
            self._link(making, before[0], cure - (making.end - making.start))

    def _cure(self, subject: Subject, layer: int, work: Work) -> float:
        spec = subject.build.piece.layers[layer]
        return float(spec.partial_cure) * self.known.cure_factor(subject, work, layer)

    def _layers(self, subject: Subject) -> None:
        piece = subject.build.piece
        for layer, works in subject.layers.items():
            for work in works:
                if layer == 0:
                    for ready in subject.ready:
                        self._link(work, ready)
                elif layer - 1 < len(piece.layers):
                    self._recoat(subject, layer, work)
        last = subject.layers.get(len(piece.layers) - 1)
        for demold in subject.demold:
            if last:
                factor = self.known.cure_factor(subject, last[0], len(piece.layers) - 1)
                self._link(demold, last[0], float(piece.full_cure) * factor)

    def _recoat(self, subject: Subject, layer: int, work: Work) -> None:
        by = subject.build.piece.layers[layer - 1].recoat_by
        before = subject.layers.get(layer - 1)
        if before:
            self._link(work, before[0], self._cure(subject, layer - 1, before[0]))
            if by is not None:
                factor = self.known.cure_factor(subject, before[0], layer - 1)
                self._of(work).within = (self.place[id(before[0])], float(by) * factor)
            return
        applied = self.known.applied(subject, layer - 1)
        if applied is not None and by is not None and not work.task.fixed:
            self._of(work).closes = applied[0] + float(by) * applied[1]

    def _steps(self, subject: Subject) -> None:
        for index, works in subject.steps.items():
            since = finishing_since(self.known, subject, index)
            if since is None or since[2]:
                continue
            before = index - 1
            while before >= 0 and subject.build.piece.route[before].passive:
                before -= 1
            earlier = subject.steps.get(before) if before >= 0 else subject.demold
            for work in works:
                if earlier:
                    self._link(work, earlier[0], since[1])

    def _molds(self) -> None:
        """A mold is readied for the next casting when the one before has left it."""
        by_mold: dict[str, list[Subject]] = defaultdict(list)
        for subject in self.known.subjects.values():
            if subject.ready or subject.demold:
                by_mold[subject.mold].append(subject)
        for subjects in by_mold.values():
            demolds = [demold for subject in subjects for demold in subject.demold]
            for subject in subjects:
                for ready in subject.ready:
                    before = [work for work in demolds if work.end <= ready.start]
                    if before and not ready.task.fixed:
                        self._link(ready, max(before, key=lambda work: work.end))

    def _stations(self) -> None:
        """A station with k places takes its next user when the k-th before has gone."""
        users: dict[str, list[Work]] = defaultdict(list)
        for work in self.works:
            if work.task.station is not None and work.task.station in self.known.shop.stations:
                users[work.task.station].append(work)
        for key, works in users.items():
            places = self.known.shop.stations[key].places
            for place in range(places, len(works)):
                self._link(works[place], works[place - places])
