"""The work in hand carried on, and what then opens for every casting on the floor.

What people have begun is fact: it goes on until its time is over, and a batch in hand goes into
its molds one after the other. From there on each casting's next step opens, and may close.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from floorboard.floor.waits import next_wait
from floorboard.planning.day_times import celsius, mix_times
from floorboard.planning.in_hand import live_batches, live_in_hand, superseded

if TYPE_CHECKING:
    import datetime as dt

    from floorboard.floor.batch import Batch
    from floorboard.floor.casting import Casting
    from floorboard.floor.events import Serving
    from floorboard.floor.floor import Floor, InHand
    from floorboard.planning.plan import TaskKind
    from floorboard.planning.time_grid import TimeGrid


@dataclass(frozen=True, slots=True)
class FixedWork:
    """Work in hand, or a pour from a batch in hand: its time in steps is no choice of the plan.

    `begun_at` is set where the work itself was begun on the floor.
    """

    kind: TaskKind
    person: str
    start: int
    end: int
    castings: tuple[str, ...]
    index: int = 0
    batch: str | None = None
    begun_at: dt.datetime | None = None


@dataclass(frozen=True, slots=True)
class Opening:
    """A casting's next step that is the plan's to place, in steps; `closes` None: any time.

    Parameters
    ----------
    kind, index
        `layer` (from 0), `demold` or `step` (of the route, from 0).
    opens, closes
        First and last step at which it may start.
    opens_at, closes_at
        The same moments unrounded.
    """

    kind: TaskKind
    index: int
    opens: int
    closes: int | None
    closes_at: dt.datetime | None = None


@dataclass(slots=True)
class CarriedOn:
    """What the floor comes to: fixed work, each casting's opening, batches, and what is lost.

    `missed` holds the castings for which a batch in hand comes too late, with the layer.
    """

    works: list[FixedWork] = field(default_factory=list)
    openings: dict[str, Opening] = field(default_factory=dict)
    batches: dict[str, BatchInHand] = field(default_factory=dict)
    missed: dict[str, Opening] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class BatchInHand:
    """A batch begun on the floor, in steps: wet, ready, and what it still serves in order."""

    serial: str
    wet: int
    ready: int
    end: int
    servings: tuple[tuple[str, int, float], ...]


class _Carrier:
    def __init__(self, floor: Floor, now: dt.datetime, grid: TimeGrid) -> None:
        self.floor, self.moment, self.grid = floor, now, grid
        self.now = grid.at_or_after(now)
        self.celsius = celsius(floor)
        self.found = CarriedOn()
        self.gone = superseded(floor)
        # When a layer in hand will be applied, in steps, by casting and layer.
        self.applied: dict[tuple[str, int], int] = {}
        self.factors: dict[tuple[str, int], float] = {}
        # Steps, readying and demolds that are in hand, by casting.
        self.ends: dict[tuple[str, str, int], int] = {}
        # Until when each person has something in hand, in steps.
        self.free: dict[str, int] = {}

    def carry(self) -> CarriedOn:
        for task in live_in_hand(self.floor, self.moment):
            if task.kind != "batch":
                self.carry_task(task)
        live = live_batches(self.floor, self.moment)
        mixed = [(batch, servings, *self.mix(batch, servings)) for batch, servings in live]
        # Poured first is what is being poured; whoever has several batches pours them in turn, and
        # a batch for an upper layer waits for the one that lays the layer below.
        mixed.sort(key=lambda m: not self.pouring(m[1]))
        while mixed:
            turn = next((m for m in mixed if self.lower_laid(m[1])), mixed[0])
            mixed.remove(turn)
            self.empty(*turn)
        for casting in self.floor.open_castings():
            if casting.set_aside or casting.serial in self.found.missed:
                continue
            if casting.serial in self.gone:
                self.found.notes.append(
                    f"Casting {casting.serial} is logged in mold {casting.mold}, in which another "
                    "was begun since: log how it left."
                )
                continue
            opening = self.opening(casting)
            if opening is not None:
                self.found.openings[casting.serial] = opening
        return self.found

    def carry_task(self, task: InHand) -> None:
        castings = task.castings or (task.casting or "",)
        length = _length(self.floor.castings[castings[0]], task, len(castings))
        start = self.grid.at_or_before(task.since)
        end = max(self.grid.up(self.grid.seconds(task.since) + length), self.now)
        self.busy(task.person, end)
        kind: TaskKind = task.kind  # type: ignore[assignment]
        self.found.works.append(
            FixedWork(kind, task.person, start, end, castings, task.index, None, task.since)
        )
        for serial in castings:
            if kind == "layer":
                self.applied[serial, task.index] = end
            else:
                self.ends[serial, kind, task.index] = end

    def pouring(self, servings: list[Serving]) -> bool:
        """Return whether the first of these layers is being applied."""
        first = self.floor.castings[servings[0].casting]
        return first.coats[servings[0].layer].begun_at is not None

    def lower_laid(self, servings: list[Serving]) -> bool:
        """Return whether the layers below those of a batch are laid, or placed already."""
        mine = {(serving.casting, serving.layer) for serving in servings}
        return all(
            serving.layer == self.floor.castings[serving.casting].layers_applied
            or (serving.casting, serving.layer - 1) in mine
            or (serving.casting, serving.layer - 1) in self.applied
            for serving in servings
        )

    def busy(self, person: str, step: int) -> None:
        """Note that a person has something in hand until a step."""
        self.free[person] = max(step, self.free.get(person, 0))

    def mix(self, batch: Batch, servings: list[Serving]) -> tuple[float, int]:
        """Carry on the mixing of a batch; return when it is wet, in seconds, and ready, in steps."""
        first = self.floor.castings[servings[0].casting]
        mix = first.build.mixes[batch.mix]
        times = mix_times(mix, self.celsius)
        seconds, now = self.grid.seconds, self.grid.seconds(self.moment)
        wet = (
            seconds(batch.wetted_at)
            if batch.wetted_at is not None
            else max(seconds(batch.begun_at) + times.before_wet, now)
        )
        ready = self.grid.up(wet + times.making - times.before_wet)
        person, begun = batch.person or "", self.grid.at_or_before(batch.begun_at)
        if self.pouring(servings):
            ready = min(ready, self.grid.at_or_before(self.begun(first, servings[0].layer)))
        else:
            ready = max(ready, self.now)
            kept = tuple(dict.fromkeys(serving.casting for serving in servings))
            self.found.works.append(
                FixedWork("batch", person, begun, ready, kept, 0, batch.serial, batch.begun_at)
            )
            self.busy(person, ready)
        return wet, ready

    def empty(self, batch: Batch, servings: list[Serving], wet: float, ready: int) -> None:
        """Place the pours of a batch in hand, one after the other."""
        person = batch.person or ""
        at, poured = max(ready, self.free.get(person, 0)), []
        for serving in servings:
            end = self.pour(batch, serving.casting, serving.layer, at)
            if end is not None:
                at = end
                poured.append((serving.casting, serving.layer, serving.grams))
        self.busy(person, at)
        if batch.sets_at is not None and self.grid.moment(at) > batch.sets_at:
            self.found.notes.append(
                f"Batch {batch.serial} will be past its working time before it is used up; "
                "pour it at once or log it as lost."
            )
        if poured:
            self.found.batches[batch.serial] = BatchInHand(
                batch.serial, self.grid.up(wet), ready, at, tuple(poured)
            )
        else:
            self.found.works = [w for w in self.found.works if w.batch != batch.serial]

    def begun(self, casting: Casting, layer: int) -> dt.datetime:
        """Return when the pour of a layer began that is being applied."""
        return casting.coats[layer].begun_at or self.moment

    def pour(self, batch: Batch, serial: str, layer: int, at: int) -> int | None:
        """Place the pour of a layer from a batch in hand; None when its window is lost by then."""
        casting = self.floor.castings[serial]
        begun = casting.coats[layer].begun_at
        apply = float(casting.build.piece.layers[layer].apply)
        if begun is not None:
            start = self.grid.at_or_before(begun)
            end = max(self.grid.up(self.grid.seconds(begun) + apply), self.now)
        else:
            opening = self.layer_opening(casting, layer)
            start = max(at, self.now, opening.opens)
            if opening.closes is not None and start > opening.closes:
                self.found.missed[serial] = opening
                return None
            end = start + self.grid.up(apply)
        self.applied[serial, layer], self.factors[serial, layer] = end, batch.cure_factor
        person = batch.person or ""
        self.found.works.append(
            FixedWork("layer", person, start, end, (serial,), layer, batch.serial, begun)
        )
        return end

    def opening(self, casting: Casting) -> Opening | None:
        """Return the next step of a casting that is not in hand, None if there is none."""
        serial = casting.serial
        if casting.demolded_at is None:
            layer = casting.layers_applied
            while layer < len(casting.coats) and (serial, layer) in self.applied:
                layer += 1
            if layer < len(casting.coats):
                return self.layer_opening(casting, layer)
            demolded = self.ends.get((serial, "demold", 0))
            if demolded is None:
                return self.demold_opening(casting)
        return self.step_opening(casting)

    def layer_opening(self, casting: Casting, layer: int) -> Opening:
        if layer == 0:
            return Opening("layer", 0, self.readied(casting), None)
        since, factor = self.layer_before(casting, layer)
        spec = casting.build.piece.layers[layer - 1]
        opens = self.grid.up(since + float(spec.partial_cure) * factor)
        if spec.recoat_by is None:
            return Opening("layer", layer, opens, None)
        closes = since + float(spec.recoat_by) * factor
        return Opening("layer", layer, opens, self.grid.down(closes), self.grid.at_second(closes))

    def layer_before(self, casting: Casting, layer: int) -> tuple[float, float]:
        """Return when the layer before was or will be applied, in seconds, and its cure's factor."""
        coat = casting.coats[layer - 1]
        carried = self.applied.get((casting.serial, layer - 1))
        if carried is None or coat.applied_at is not None:
            return self.grid.seconds(coat.applied_at or casting.begun_at), coat.cure_factor
        factor = self.factors.get((casting.serial, layer - 1), coat.cure_factor)
        return float(carried * self.grid.step_seconds), factor

    def readied(self, casting: Casting) -> int:
        """Return the step from which a mold in use can take its first layer."""
        if casting.readied_at is not None:
            return self.grid.at_or_after(casting.readied_at)
        carried = self.ends.get((casting.serial, "ready", 0))
        if carried is not None:
            return carried
        seconds = self.grid.seconds(casting.begun_at) + float(casting.build.piece.ready)
        return max(self.grid.up(seconds), self.now)

    def demold_opening(self, casting: Casting) -> Opening:
        since, factor = self.layer_before(casting, len(casting.coats))
        return Opening(
            "demold", 0, self.grid.up(since + float(casting.build.piece.full_cure) * factor), None
        )

    def step_opening(self, casting: Casting) -> Opening | None:
        route, index = casting.build.piece.route, casting.next_step
        carried: int | None = self.ends.get((casting.serial, "demold", 0))
        while (casting.serial, "step", index) in self.ends:
            carried = self.ends[casting.serial, "step", index]
            index = next(
                (n for n in range(index + 1, len(route)) if not route[n].passive), len(route)
            )
        if index >= len(route):
            return None
        if carried is None:
            wait = next_wait(casting)
            if wait is None:
                return None
            closes_at = wait.closes_at
            closes = None if closes_at is None else self.grid.at_or_before(closes_at)
            return Opening("step", index, self.grid.at_or_after(wait.opens_at), closes, closes_at)
        opens, before = float(carried * self.grid.step_seconds), index - 1
        while before >= 0 and route[before].passive:
            opens += float(route[before].takes)
            before -= 1
        by = route[index].start_by
        closes = None if by is None else self.grid.down(opens + float(by))
        return Opening("step", index, self.grid.up(opens), closes)


def carry_on(floor: Floor, now: dt.datetime, grid: TimeGrid) -> CarriedOn:
    """Return the work in hand carried on from `now`, and every open casting's next opening.

    Castings that were set aside have none; so have those whose last step is in hand.
    """
    return _Carrier(floor, now, grid).carry()


def _length(casting: Casting, task: InHand, castings: int) -> float:
    piece = casting.build.piece
    if task.kind == "ready":
        return float(piece.ready)
    if task.kind == "layer":
        return float(piece.layers[task.index].apply)
    if task.kind == "demold":
        return float(piece.demold)
    step = piece.route[task.index]
    return float(step.takes) + float(step.each_more) * (castings - 1)
