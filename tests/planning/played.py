"""Play a plan on the floor without a database: people do its tasks, sooner or later than planned."""

from __future__ import annotations

import datetime as dt
import random

from floorboard.floor import events as e
from floorboard.floor.floor import Floor
from floorboard.floor.fold import fold
from floorboard.planning.day_times import celsius, mix_times
from floorboard.planning.plan import Plan, PlannedTask
from floorboard.shop.build import build_of
from floorboard.shop.shop import Shop


class Player:
    """Logs what people do of a plan until a moment; what is begun by then stays in hand.

    `spread` is the relative standard deviation of how long work takes.
    """

    def __init__(self, shop: Shop, plan: Plan, rng: random.Random, spread: float = 0.2) -> None:
        self.shop, self.plan, self.rng, self.spread = shop, plan, rng, spread
        self.builds = {key: build_of(shop, key) for key in shop.pieces}
        self.log: list[tuple[dt.datetime, str, e.AnyEvent]] = []
        self.serials: dict[str, str] = {}
        self.free: dict[str, dt.datetime] = {}
        self.stopped: set[str] = set()
        self.full: dict[str, str | None] = {}
        # When the last thing planned for a casting was over.
        self.over: dict[str, dt.datetime] = {}

    def play(self, until: dt.datetime) -> Floor:
        """Return the floor at a moment, work begun and not ended included."""
        for task in self.plan.tasks:
            if not task.fixed:
                self.do(task, until)
        self.log.sort(key=lambda logged: logged[0])
        entries = [
            e.Entry(seq=n + 1, id=str(n), at=at, logged_at=at, person=person, event=event)
            for n, (at, person, event) in enumerate(self.log)
            if at <= until
        ]
        return fold(entries, {build.digest(): build for build in self.builds.values()})

    def do(self, task: PlannedTask, until: dt.datetime) -> None:
        known = [self.free.get(task.person, task.start)]
        if task.kind != "batch":
            known += [self.over.get(casting, task.start) for casting in task.castings]
        start = max(task.start, *known)
        if start > until or not self.may(task):
            self.stopped.update(task.castings)
            return
        factor = min(2.0, max(0.7, self.rng.gauss(1.0, self.spread)))
        end = start + (task.end - task.start) * factor
        self.free[task.person] = end
        for casting in task.castings:
            if task.kind != "batch":
                self.over[casting] = end
        for at, event in self.events(task, start, end):
            self.log.append((at, task.person, event))

    def may(self, task: PlannedTask) -> bool:
        """Return whether everything before a task was done, for all its castings."""
        if self.stopped.intersection(task.castings):
            return False
        if task.kind == "ready":
            mold = next(c.mold for c in self.plan.castings if c.id == task.castings[0])
            return self.full.get(mold) is None
        return all(casting in self.serials for casting in task.castings)

    def events(
        self, task: PlannedTask, start: dt.datetime, end: dt.datetime
    ) -> list[tuple[dt.datetime, e.AnyEvent]]:
        if task.kind == "ready":
            planned = next(c for c in self.plan.castings if c.id == task.castings[0])
            serial = f"S{len(self.serials) + 1}"
            self.serials[planned.id] = serial
            self.full[planned.mold] = serial
            digest = self.builds[planned.piece].digest()
            begun = e.CastingBegun(
                casting=serial, mold=planned.mold, piece=planned.piece, build=digest
            )
            return [(start, begun), (end, e.MoldReadied(casting=serial))]
        if task.kind == "batch":
            return self.batch(task, start, end)
        serials = tuple(self.serials[casting] for casting in task.castings)
        if task.kind == "layer":
            more = {"casting": serials[0], "layer": task.index, "batch": f"L{task.batch}"}
            return [(start, e.LayerBegun(**more)), (end, e.LayerApplied(**more))]
        if task.kind == "demold":
            mold = next(c.mold for c in self.plan.castings if c.id == task.castings[0])
            self.full[mold] = None
            first, last = e.DemoldBegun(casting=serials[0]), e.Demolded(casting=serials[0])
            return [(start, first), (end, last)]
        more = {"castings": serials, "step": task.index}
        return [(start, e.StepBegun(**more)), (end, e.StepDone(**more))]

    def batch(
        self, task: PlannedTask, start: dt.datetime, end: dt.datetime
    ) -> list[tuple[dt.datetime, e.AnyEvent]]:
        batch = self.plan.batch(task.batch or "")
        assert batch is not None
        piece = next(c.piece for c in self.plan.castings if c.id == batch.servings[0].casting)
        times = mix_times(self.builds[piece].mixes[batch.mix], celsius(Floor()))
        servings = tuple(
            e.Serving(casting=self.serials[s.casting], layer=s.layer, grams=s.grams)
            for s in batch.servings
        )
        begun = e.BatchBegun(
            batch=f"L{batch.id}",
            mix=batch.mix,
            servings=servings,
            grams=batch.grams,
            working_seconds=times.working,
            cure_factor=times.cure_factor,
        )
        wet = start + (end - start) * 0.6
        return [(start, begun), (wet, e.BatchWetted(batch=f"L{batch.id}"))]
