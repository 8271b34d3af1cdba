"""The tasks of one casting, written into a network: readying, layers, demold, finishing."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import TYPE_CHECKING

from floorboard.planning.day_times import tenths_of_bucket, tenths_of_layer
from floorboard.planning.network import Anchor, Family, Hold, Lag, Moment, Task
from floorboard.planning.shop_problem import TaskRef

if TYPE_CHECKING:
    from collections.abc import Iterator

    from floorboard.planning.day_times import DayTimes
    from floorboard.planning.draft import Draft
    from floorboard.planning.time_grid import TimeGrid
    from floorboard.shop.build import Build
    from floorboard.shop.mixes import Mix
    from floorboard.shop.pieces import Step
    from floorboard.shop.shop import Skill


@dataclass(frozen=True, slots=True)
class LayerShape:
    """A layer in steps: what its pour takes, and the waits that follow it."""

    setup: int
    dry_setup: int
    apply: int
    family: int
    weight: int
    frame: int | None
    mixer: int | None
    least: int
    greatest: int | None


@dataclass(frozen=True, slots=True)
class CastingShape:
    """A build in steps; `racks` are (station, start, end) of what dries at once after demold."""

    ready: int
    demold: int
    full_cure: int
    layers: tuple[LayerShape, ...]
    racks: tuple[tuple[int, int, int], ...]


@dataclass(frozen=True, slots=True)
class Bench:
    """What the tasks of a shop draw on: hands by skill, stations by id, the day and its rules.

    Every hands-on task of the network is `walk` steps longer than its work; in the plan the work
    ends `walked` whole steps before that. `margin` is in seconds.
    """

    people: dict[Skill, tuple[int, ...]]
    stations: dict[str, int]
    times: DayTimes
    margin: float
    walk: int
    walked: int
    mix_ahead: bool


class TaskWriter:
    """Writes castings into a draft; `refs` says what each task of it stands for."""

    def __init__(self, draft: Draft, grid: TimeGrid, bench: Bench) -> None:
        self.draft, self.grid, self.bench = draft, grid, bench
        self.refs: list[TaskRef | None] = []
        self._shapes: dict[int, CastingShape] = {}
        self._mixes: list[tuple[str, Mix, int]] = []
        self._sessions: list[tuple[Step, int]] = []
        # Builds are kept alive here, so that their identity can name them.
        self._kept: list[Build] = []

    def task(self, ref: TaskRef | None, entry: Task) -> int:
        """Add a task and what it stands for."""
        self.refs.append(ref)
        return self.draft.task(entry)

    def shape(self, build: Build) -> CastingShape:
        """Return a build in steps."""
        found = self._shapes.get(id(build))
        if found is None:
            found = self._shapes[id(build)] = self._measure(build)
            self._kept.append(build)
        return found

    def _measure(self, build: Build) -> CastingShape:
        piece, up = build.piece, self.grid.up
        layers = tuple(self._layer(build, n) for n in range(len(piece.layers)))
        factor = self.bench.times.of(build.mix_of_layer(len(piece.layers) - 1)).cure_factor
        return CastingShape(
            ready=self.grid.hands_on(float(piece.ready)),
            demold=self.grid.hands_on(float(piece.demold)),
            full_cure=up(float(piece.full_cure) * factor),
            layers=layers,
            racks=tuple(self._racks(piece.route)),
        )

    def _racks(self, route: tuple[Step, ...]) -> Iterator[tuple[int, int, int]]:
        passive = 0.0
        for step in itertools.takewhile(lambda step: step.passive, route):
            station = self.bench.stations.get(step.station or "")
            end = passive + float(step.takes)
            if station is not None:
                yield station, self.grid.down(passive), self.grid.up(end)
            passive = end

    def _layer(self, build: Build, index: int) -> LayerShape:
        spec, mix = build.piece.layers[index], build.mix_of_layer(index)
        times = self.bench.times.of(mix)
        setup = self.grid.up(times.making)
        by = spec.recoat_by
        return LayerShape(
            setup=setup,
            dry_setup=max(0, setup - self.grid.up(times.making - times.before_wet)),
            apply=self.grid.hands_on(float(spec.apply)),
            family=self._family(spec.mix, mix, times.working),
            weight=tenths_of_layer(build, index),
            frame=self.bench.stations.get(spec.station or ""),
            mixer=self.bench.stations.get(mix.station or ""),
            least=self.grid.up(float(spec.partial_cure) * times.cure_factor),
            greatest=None if by is None else self.grid.down(float(by) * times.cure_factor),
        )

    def _family(self, key: str, mix: Mix, working: float) -> int:
        """Return the family of a mix; castings with an older form of it have another."""
        for known, other, family in self._mixes:
            if known == key and other == mix:
                return family
        family = self.draft.family(
            Family(
                name=mix.name,
                max_weight=tenths_of_bucket(mix),
                max_span=max(0, self.grid.down(working - self.bench.margin)) + self.bench.walked,
            )
        )
        self._mixes.append((key, mix, family))
        return family

    def fits(self, build: Build) -> bool:
        """Return whether each layer of a build can be mixed and applied at all."""
        for layer in self.shape(build).layers:
            family = self.draft.families[layer.family]
            span = layer.setup - layer.dry_setup + layer.apply + self.bench.walk
            if layer.weight > family.max_weight or span > family.max_span:
                return False
        return True

    def begin(
        self, casting: str, build: Build, ready_by: int | None, deadline: int | None
    ) -> list[int]:
        """Add a new casting from readying to demold; `ready_by` is the last end of readying."""
        shape = self.shape(build)
        ready = self.task(
            TaskRef("ready", casting, 0),
            Task(
                name=f"ready {casting}",
                duration=shape.ready + self.bench.walk,
                people=self.bench.people["ready"],
                deadline=ready_by,
            ),
        )
        tasks = [ready, *self.layers(casting, build, 0, deadline)]
        self.draft.lag(
            Lag(
                ready, tasks[1], least=-self.bench.walked, after_anchor=Anchor.READY, name="readied"
            )
        )
        return tasks

    def layers(self, casting: str, build: Build, first: int, deadline: int | None) -> list[int]:
        """Add the layers from `first` on (counted from 0) and the demold, with their waits."""
        shape, walk, walked = self.shape(build), self.bench.walk, self.bench.walked
        tasks: list[int] = []
        for index in range(first, len(shape.layers)):
            layer = shape.layers[index]
            task = self.task(TaskRef("layer", casting, index), self._pour(casting, index, layer))
            self._stations(task, layer)
            if tasks:
                self._recoat(tasks[-1], task, shape.layers[index - 1])
            tasks.append(task)
        demold = self.task(
            TaskRef("demold", casting, 0),
            Task(
                name=f"demold {casting}",
                duration=shape.demold + walk,
                people=self.bench.people["demold"],
                deadline=deadline,
            ),
        )
        if tasks:
            self.draft.lag(Lag(tasks[-1], demold, least=shape.full_cure - walked, name="full cure"))
        for station, start, end in shape.racks:
            rack_from = Moment(demold, Anchor.END, start - walked)
            self.draft.hold(Hold(station, rack_from, Moment(demold, Anchor.END, end)))
        tasks.append(demold)
        return tasks

    def _pour(self, casting: str, index: int, layer: LayerShape) -> Task:
        return Task(
            name=f"layer {index + 1} of {casting}",
            duration=layer.apply + self.bench.walk,
            people=self.bench.people["layer"],
            setup=layer.setup,
            dry_setup=layer.dry_setup,
            family=layer.family,
            weight=layer.weight,
        )

    def _stations(self, task: int, layer: LayerShape) -> None:
        if layer.mixer is not None:
            self.draft.hold(
                Hold(layer.mixer, Moment(task, Anchor.START), Moment(task, Anchor.READY))
            )
        if layer.frame is not None:
            self.draft.hold(Hold(layer.frame, Moment(task, Anchor.READY), Moment(task, Anchor.END)))

    def _recoat(self, before: int, after: int, layer: LayerShape) -> None:
        walked = self.bench.walked
        greatest = None if layer.greatest is None else layer.greatest - walked
        self.draft.lag(
            Lag(
                before,
                after,
                least=layer.least - walked,
                greatest=greatest,
                after_anchor=Anchor.READY,
                name="partial cure and recoat window",
            )
        )
        if not self.bench.mix_ahead:
            self.draft.lag(Lag(before, after, least=layer.least - walked, name="no mixing ahead"))

    def finishing(self, casting: str, build: Build, first: int) -> list[int]:
        """Add the hands-on steps of the route from index `first` on, with their waits."""
        route, passive = build.piece.route, 0.0
        tasks: list[int] = []
        pending: list[tuple[int, float, float]] = []
        for index in range(first, len(route)):
            step = route[index]
            if step.passive:
                station = self.bench.stations.get(step.station or "")
                if station is not None:
                    pending.append((station, passive, passive + float(step.takes)))
                passive += float(step.takes)
                continue
            task = self.task(TaskRef("step", casting, index), self._step(casting, index, route))
            if tasks:
                self._wait(tasks[-1], task, route, passive, step)
                self._dry(tasks[-1], pending, route)
            tasks.append(task)
            passive, pending = 0.0, []
        if tasks:
            self._dry(tasks[-1], pending, route)
        return tasks

    def _step(self, casting: str, index: int, route: tuple[Step, ...]) -> Task:
        step = route[index]
        station = self.bench.stations.get(step.station or "")
        takes, more = (
            self.grid.hands_on(float(step.takes)),
            self.grid.hands_on(float(step.each_more)),
        )
        shared = self._shares(route, index)
        return Task(
            name=f"step {index + 1} of {casting}",
            duration=(more if shared else takes) + self.bench.walk,
            people=self.bench.people["finish"],
            setup=takes - more if shared else 0,
            family=self._session(step) if shared else None,
            weight=1 if shared else 0,
            demands=() if station is None else ((station, 1),),
        )

    def _shares(self, route: tuple[Step, ...], index: int) -> bool:
        """Return whether a step may be worked on several castings in one session.

        Not where the next step has to follow sooner than the session may be over.
        """
        step = route[index]
        if (
            step.together <= 1
            or self.bench.walk
            or step.each_more >= step.takes
            or self.grid.hands_on(float(step.takes)) < 2
        ):
            return False
        following = next((later for later in route[index + 1 :] if not later.passive), None)
        if following is None or following.start_by is None:
            return True
        return float(following.start_by) >= float(step.each_more) * (step.together - 1)

    def _session(self, step: Step) -> int:
        for known, family in self._sessions:
            if known == step:
                return family
        family = self.draft.family(
            Family(
                name=step.name or step.kind, max_weight=step.together, max_span=self.draft.horizon
            )
        )
        self._sessions.append((step, family))
        return family

    def _wait(
        self, before: int, after: int, route: tuple[Step, ...], passive: float, step: Step
    ) -> None:
        greatest = None
        if step.start_by is not None:
            greatest = self.grid.down(passive + float(step.start_by)) - self.bench.walked
        least = self.grid.up(passive) + self._session_over(before, route) - self.bench.walked
        self.draft.lag(Lag(before, after, least=least, greatest=greatest, name="finishing wait"))

    def _session_over(self, task: int, route: tuple[Step, ...]) -> int:
        """Return how many steps after its own end a casting's shared session may be over."""
        ref = self.refs[task]
        assert ref is not None
        if not self._shares(route, ref.index):
            return 0
        step = route[ref.index]
        return self.grid.hands_on(float(step.each_more)) * (step.together - 1)

    def _dry(
        self, task: int, pending: list[tuple[int, float, float]], route: tuple[Step, ...]
    ) -> None:
        over, walked = self._session_over(task, route), self.bench.walked
        for station, start, end in pending:
            first = Moment(task, Anchor.END, self.grid.down(start) - walked)
            last = Moment(task, Anchor.END, self.grid.up(end) + over - walked)
            self.draft.hold(Hold(station, first, last))
