"""Make a plan of a sheet: moments for steps, cures between the tasks, what it means for orders."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from floorboard.planning.day_times import DayTimes, celsius
from floorboard.planning.plan import (
    OrderOutlook,
    Plan,
    PlannedBatch,
    PlannedCasting,
    PlannedCure,
    PlannedServing,
    PlannedTask,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

    from floorboard.floor.floor import Floor
    from floorboard.planning.plan_sheet import Sheet, SheetBatch, SheetCasting, SheetTask
    from floorboard.planning.shop_problem import ShopProblem
    from floorboard.shop.shop import Shop


def write_plan(shop: Shop, floor: Floor, source: ShopProblem, sheet: Sheet) -> Plan:
    """Return the plan of a sheet, without what only a comparison with other plans can say."""
    return _Writer(shop, floor, source, sheet).write()


class _Writer:
    def __init__(self, shop: Shop, floor: Floor, source: ShopProblem, sheet: Sheet) -> None:
        self.shop, self.floor, self.source, self.sheet = shop, floor, source, sheet
        self.times = DayTimes(celsius(floor))
        self.mixes = {batch.id: batch.mix for batch in sheet.batches}
        self.by_casting: dict[str, list[SheetTask]] = {}
        for task in sheet.tasks:
            for serial in task.castings:
                self.by_casting.setdefault(serial, []).append(task)

    def write(self) -> Plan:
        castings = [self._casting(entry) for entry in self.sheet.castings.values()]
        return Plan(
            made_at=self.source.now,
            until=self._until(),
            seq=self.floor.last_seq,
            tasks=tuple(self._task(task) for task in self.sheet.tasks),
            batches=tuple(self._batch(batch) for batch in self.sheet.batches),
            cures=tuple(self._cures()),
            castings=tuple(castings),
            orders=tuple(self._orders(castings)),
        )

    def _until(self) -> dt.datetime:
        ends = [task.end for task in self.sheet.tasks]
        last = self.source.grid.moment(max(ends, default=0))
        return max(self.source.horizon.until, last)

    def _moment(self, step: int) -> dt.datetime:
        return self.source.grid.moment(step)

    def _task(self, task: SheetTask) -> PlannedTask:
        station = None
        build = self.sheet.castings[task.castings[0]].build
        if task.kind == "layer":
            station = build.piece.layers[task.index].station
        elif task.kind == "step":
            station = build.piece.route[task.index].station
        elif task.kind == "batch":
            station = build.mixes[self.mixes[task.batch or ""]].station
        return PlannedTask(
            kind=task.kind,
            person=task.person,
            start=task.begun_at or self._moment(task.start),
            end=self._moment(task.end),
            castings=tuple(task.castings),
            index=task.index,
            batch=task.batch,
            station=station,
            fixed=task.begun_at is not None,
        )

    def _batch(self, batch: SheetBatch) -> PlannedBatch:
        ready = self._moment(batch.ready)
        wet = batch.wetted_at or ready - dt.timedelta(seconds=batch.wet_seconds)
        return PlannedBatch(
            id=batch.id,
            mix=batch.mix,
            person=batch.person,
            start=batch.begun_at or self._moment(batch.start),
            wet=wet,
            ready=max(ready, wet),
            end=self._moment(batch.end),
            grams=round(batch.grams, 1),
            servings=tuple(
                PlannedServing(casting=casting, layer=layer, grams=round(grams, 1))
                for casting, layer, grams in batch.servings
            ),
            fixed=batch.begun_at is not None,
        )

    def _cures(self) -> Iterator[PlannedCure]:
        for entry in self.sheet.castings.values():
            fact = self.floor.castings.get(entry.id)
            if fact is not None and fact.set_aside:
                continue
            yield from self._cures_in_mold(entry)
            yield from self._cures_after(entry)

    def _cures_in_mold(self, entry: SheetCasting) -> Iterator[PlannedCure]:
        fact = self.floor.castings.get(entry.id)
        piece, count = entry.build.piece, len(entry.build.piece.layers)
        planned = {t.index: t for t in self.by_casting.get(entry.id, ()) if t.kind == "layer"}
        done = fact.layers_applied if fact is not None else 0
        if fact is not None and fact.demolded_at is not None:
            return
        for layer in range(max(0, done - 1), count):
            if layer in planned:
                start = self._moment(planned[layer].end)
                factor = self._factor(entry, planned[layer])
            elif fact is not None and layer < done and fact.coats[layer].applied_at is not None:
                start = fact.coats[layer].applied_at or self.source.now
                factor = fact.coats[layer].cure_factor
            else:
                continue
            last = layer == count - 1
            seconds = float(piece.full_cure if last else piece.layers[layer].partial_cure) * factor
            end = start + dt.timedelta(seconds=seconds)
            if end > self.source.now and seconds > 0:
                yield PlannedCure(
                    casting=entry.id,
                    kind="full cure" if last else "partial cure",
                    index=layer,
                    start=start,
                    end=end,
                )

    def _factor(self, entry: SheetCasting, task: SheetTask) -> float:
        logged = self.floor.batches.get(task.batch or "")
        if logged is not None:
            return logged.cure_factor
        fact = self.floor.castings.get(entry.id)
        if fact is not None and task.begun_at is not None:
            return fact.coats[task.index].cure_factor
        return self.times.of(entry.build.mix_of_layer(task.index)).cure_factor

    def _cures_after(self, entry: SheetCasting) -> Iterator[PlannedCure]:
        """Yield the passive steps after demold and after each finishing step."""
        route = entry.build.piece.route
        for index, step in enumerate(route):
            if not step.passive:
                continue
            before = index - 1
            while before >= 0 and route[before].passive:
                before -= 1
            start = self._done(entry, before)
            if start is None:
                continue
            start += dt.timedelta(seconds=sum(float(s.takes) for s in route[before + 1 : index]))
            end = start + dt.timedelta(seconds=float(step.takes))
            if end > self.source.now:
                kind = "drying" if step.kind == "dry" else "cure"
                yield PlannedCure(
                    casting=entry.id,
                    kind=kind,
                    index=index,
                    start=start,
                    end=end,
                    station=step.station,
                )

    def _done(self, entry: SheetCasting, step: int) -> dt.datetime | None:
        """Return when a hands-on step (-1: the demold) is done, in fact or as planned."""
        kind = "step" if step >= 0 else "demold"
        for task in self.by_casting.get(entry.id, ()):
            if task.kind == kind and (step < 0 or task.index == step):
                return self._moment(task.end)
        fact = self.floor.castings.get(entry.id)
        if fact is None:
            return None
        done = fact.steps[step].done_at if step >= 0 else fact.demolded_at
        if done is not None and fact.sent_back_at is not None:
            done = max(done, fact.sent_back_at)
        return done

    def _casting(self, entry: SheetCasting) -> PlannedCasting:
        route = entry.build.piece.route
        hands_on = [n for n, step in enumerate(route) if not step.passive]
        demolded = self._done(entry, -1)
        fact = self.floor.castings.get(entry.id)
        if fact is not None and fact.demolded_at is not None:
            demolded = fact.demolded_at
        finished = self._done(entry, hands_on[-1]) if hands_on else demolded
        return PlannedCasting(
            id=entry.id,
            mold=entry.mold,
            piece=entry.build.piece_id,
            new=entry.new,
            demolded_at=demolded,
            finished_at=finished,
            order=entry.order,
        )

    def _orders(self, castings: list[PlannedCasting]) -> Iterator[OrderOutlook]:
        for want in self.source.wanted.wants:
            mine = [c.finished_at for c in castings if c.order == want.order]
            ends = sorted(moment for moment in mine if moment is not None)
            missing = want.quantity - want.done
            ready = ends[missing - 1] if 0 < missing <= len(ends) else None
            late = 0.0
            if missing > 0:
                end = ready if ready is not None else self.source.horizon.until
                late = max(0.0, (end - want.due).total_seconds())
            yield OrderOutlook(
                order=want.order,
                piece=want.piece,
                wanted=want.quantity,
                done=want.done,
                planned=min(want.quantity, want.done + len(ends)),
                due=want.due,
                ready_at=ready,
                late_seconds=late,
            )
