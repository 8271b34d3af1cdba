"""The floor as it would be if everything went as planned until a moment."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.floor import events as e
from floorboard.floor.fold import fold
from floorboard.floor.fork import fork
from floorboard.planning.day_times import DayTimes, celsius
from floorboard.shop.build import build_of

if TYPE_CHECKING:
    import datetime as dt

    from floorboard.floor.floor import Floor
    from floorboard.planning.plan import Plan, PlannedTask
    from floorboard.shop.build import Build
    from floorboard.shop.shop import Shop

Happened = tuple["dt.datetime", str | None, e.AnyEvent]


def floor_as_planned(shop: Shop, floor: Floor, plan: Plan, until: dt.datetime) -> Floor:
    """Return the floor at a moment, every task of the plan done when planned.

    The floor given stays as it is. What a plan begins by then and ends later is in hand. Nobody
    is away any more.
    """
    writer = _Writer(shop, floor, plan)
    happened = [entry for task in plan.tasks for entry in writer.of_task(task, until)]
    happened.sort(key=lambda entry: entry[0])
    seq = floor.last_seq
    entries = [
        e.Entry(seq=seq + n, id=str(n), at=at, logged_at=at, person=person, event=event)
        for n, (at, person, event) in enumerate(happened, start=1)
    ]
    forked = fold(entries, writer.builds, onto=fork(floor, entries))
    forked.away.clear()
    return forked


class _Writer:
    def __init__(self, shop: Shop, floor: Floor, plan: Plan) -> None:
        self.shop, self.floor, self.plan = shop, floor, plan
        self.times = DayTimes(celsius(floor))
        self.batches = {batch.id: batch for batch in plan.batches}
        self.castings = {casting.id: casting for casting in plan.castings}
        self.by_piece: dict[str, Build] = {}
        self.digests: dict[str, str] = {}
        self.builds: dict[str, Build] = {}
        # Serials the fold has not seen yet, told apart from those of earlier days by the entry.
        self.prefix = f"P{floor.last_seq}-"

    def serial(self, casting: str) -> str:
        return casting if casting in self.floor.castings else self.prefix + casting

    def build(self, piece: str) -> tuple[Build, str]:
        if piece not in self.by_piece:
            build = self.by_piece[piece] = build_of(self.shop, piece)
            self.digests[piece] = build.digest()
            self.builds[self.digests[piece]] = build
        return self.by_piece[piece], self.digests[piece]

    def of_task(self, task: PlannedTask, until: dt.datetime) -> list[Happened]:
        """Return what is logged of a task by a moment."""
        if task.start >= until:
            return []
        over = task.end <= until
        # Work that is over binds nobody, so nobody need be named; that keeps the fold quick.
        batch = self.batches.get(task.batch or "")
        bound = (batch.end if batch is not None else task.end) > until
        person = task.person if bound else None
        begun: list[e.AnyEvent] = [] if task.fixed else self.begun(task, over)
        ended: list[e.AnyEvent] = self.ended(task) if over else []
        return [(task.start, person, event) for event in begun] + [
            (task.end, person, event) for event in ended
        ]

    def begun(self, task: PlannedTask, over: bool) -> list[e.AnyEvent]:
        serials = tuple(self.serial(casting) for casting in task.castings)
        if task.kind == "ready":
            planned = self.castings[task.castings[0]]
            _, digest = self.build(planned.piece)
            return [
                e.CastingBegun(
                    casting=serials[0],
                    mold=planned.mold,
                    piece=planned.piece,
                    build=digest,
                    order=planned.order,
                )
            ]
        if task.kind == "batch":
            return [self.batch(task)]
        if over:
            return []
        if task.kind == "layer":
            batch = self.batch_serial(task)
            return [e.LayerBegun(casting=serials[0], layer=task.index, batch=batch)]
        if task.kind == "demold":
            return [e.DemoldBegun(casting=serials[0])]
        return [e.StepBegun(castings=serials, step=task.index)]

    def ended(self, task: PlannedTask) -> list[e.AnyEvent]:
        serials = tuple(self.serial(casting) for casting in task.castings)
        match task.kind:
            case "ready":
                return [e.MoldReadied(casting=serials[0])]
            case "batch":
                return [e.BatchWetted(batch=self.batch_serial(task) or "")]
            case "layer":
                batch = self.batch_serial(task)
                return [e.LayerApplied(casting=serials[0], layer=task.index, batch=batch)]
            case "demold":
                return [e.Demolded(casting=serials[0])]
            case "step":
                return [e.StepDone(castings=serials, step=task.index)]

    def batch_serial(self, task: PlannedTask) -> str | None:
        if task.batch is None or task.batch in self.floor.batches:
            return task.batch
        return self.prefix + task.batch

    def batch(self, task: PlannedTask) -> e.AnyEvent:
        entry = self.batches[task.batch or ""]
        first = entry.servings[0].casting
        fact = self.floor.castings.get(first)
        build = fact.build if fact is not None else self.build(self.castings[first].piece)[0]
        times = self.times.of(build.mixes[entry.mix])
        return e.BatchBegun(
            batch=self.batch_serial(task) or "",
            mix=entry.mix,
            servings=tuple(
                e.Serving(casting=self.serial(s.casting), layer=s.layer, grams=s.grams)
                for s in entry.servings
            ),
            grams=entry.grams,
            working_seconds=times.working,
            cure_factor=times.cure_factor,
        )
