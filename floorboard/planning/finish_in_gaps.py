"""Place finishing where hands are free: after the castings, in the time they leave.

Steps are taken in the order in which they open. One that several castings can share is worked on
all that are open by then, up to what a session takes.
"""

from __future__ import annotations

import heapq
from dataclasses import dataclass
from typing import TYPE_CHECKING

from floorboard.planning.gaps import Gaps, Places
from floorboard.planning.plan_sheet import Sheet, SheetCasting, SheetTask

if TYPE_CHECKING:
    from floorboard.floor.floor import Floor
    from floorboard.planning.shop_problem import ShopProblem
    from floorboard.shop.pieces import Step
    from floorboard.shop.shop import Shop


@dataclass(frozen=True, slots=True, order=True)
class _Due:
    """A finishing step that opens at a step of the grid; `closes` None: any time."""

    opens: int
    rank: int
    casting: str
    index: int
    closes: int | None


def finish_in_gaps(shop: Shop, floor: Floor, source: ShopProblem, sheet: Sheet) -> None:
    """Add to a sheet the finishing steps that still find a place in it."""
    filler = _Filler(shop, floor, source, sheet)
    if filler.people:
        filler.fill()


class _Filler:
    def __init__(self, shop: Shop, floor: Floor, source: ShopProblem, sheet: Sheet) -> None:
        self.shop, self.floor, self.source, self.sheet = shop, floor, source, sheet
        self.grid, self.end = source.grid, source.problem.horizon
        self.now = source.grid.at_or_after(source.now)
        self.walk = self.grid.up(float(shop.shop.walk))
        self.people = [
            key
            for index, key in enumerate(source.people)
            if "finish" in shop.people[key].skills and source.problem.people[index].stretches
        ]
        self.gaps = self._gaps()
        self.places = self._places()
        self.planned = {
            (serial, task.index)
            for task in sheet.tasks
            if task.kind == "step"
            for serial in task.castings
        }
        self.rank = {want.order: place for place, want in enumerate(source.wanted.wants)}

    def _gaps(self) -> dict[str, Gaps]:
        """Return the free time of those who finish; a batch in hand takes it until used up."""
        busy: dict[str, list[tuple[int, int]]] = {key: [] for key in self.people}
        for task in self.sheet.tasks:
            if task.person in busy:
                busy[task.person].append((task.start - self.walk, task.end + self.walk))
        for batch in self.sheet.batches:
            if batch.person in busy:
                busy[batch.person].append((batch.start - self.walk, batch.end + self.walk))
        stretches = dict(zip(self.source.people, self.source.problem.people, strict=True))
        return {key: Gaps(stretches[key].stretches, busy[key]) for key in self.people}

    def _places(self) -> dict[str, Places]:
        """Return the use of stations that finishing shares, by facts and by the sheet."""
        found = {}
        for index, (key, station) in enumerate(self.shop.stations.items()):
            found[key] = Places(station.places)
            for start, end, units in self.source.problem.stations[index].taken:
                found[key].take(start, end, units)
        for task in self.sheet.tasks:
            build = self.sheet.castings[task.castings[0]].build
            if task.begun_at is None and task.kind == "step":
                self._use(found, build.piece.route[task.index].station, task.start, task.end)
            if task.begun_at is None and task.kind in {"step", "demold"}:
                after = task.index + 1 if task.kind == "step" else 0
                for key, start, end in self._drying(build.piece.route, after, task.end):
                    self._use(found, key, start, end, len(task.castings))
        return found

    @staticmethod
    def _use(
        found: dict[str, Places], key: str | None, start: int, end: int, units: int = 1
    ) -> None:
        if key is not None and key in found:
            found[key].take(start, end, units)

    def _drying(self, route: tuple[Step, ...], index: int, at: int) -> list[tuple[str, int, int]]:
        """Return the station, start and end of the passive steps from `index` on."""
        seconds = 0.0
        found: list[tuple[str, int, int]] = []
        while index < len(route) and route[index].passive:
            start, seconds = seconds, seconds + float(route[index].takes)
            station = route[index].station
            if station is not None:
                found.append((station, at + self.grid.down(start), at + self.grid.up(seconds)))
            index += 1
        return found

    def fill(self) -> None:
        queue = [due for entry in self.sheet.castings.values() if (due := self._first(entry))]
        heapq.heapify(queue)
        while queue:
            due = heapq.heappop(queue)
            if (due.casting, due.index) in self.planned:
                continue
            task = self._place(due, queue)
            if task is None:
                continue
            for serial in task.castings:
                self.planned.add((serial, task.index))
                following = self._next(self.sheet.castings[serial], task.index, task.end)
                if following is not None:
                    heapq.heappush(queue, following)
        self.sheet.tasks.sort(key=lambda task: (task.start, task.end, task.person))

    def _first(self, entry: SheetCasting) -> _Due | None:
        """Return the first step of a casting that the sheet does not have."""
        steps = [t for t in self.sheet.tasks if t.kind == "step" and entry.id in t.castings]
        if steps:
            last = max(steps, key=lambda task: task.index)
            return self._next(entry, last.index, last.end)
        if entry.demolded_at is None:
            return None if entry.demolded is None else self._next(entry, -1, entry.demolded)
        opening = self.source.carried.openings.get(entry.id)
        if opening is None or opening.kind != "step":
            return None
        closes = opening.closes
        if closes is not None and closes < max(self.now, opening.opens):
            closes = None
        return self._due(entry, opening.index, opening.opens, closes)

    def _next(self, entry: SheetCasting, index: int, end: int) -> _Due | None:
        """Return the hands-on step after step `index` (-1: the demold), which ends at `end`."""
        route, passive, after = entry.build.piece.route, 0.0, index + 1
        while after < len(route) and (route[after].passive or after < entry.next_step):
            passive += float(route[after].takes) if route[after].passive else 0.0
            after += 1
        if after >= len(route):
            return None
        by = route[after].start_by
        closes = None if by is None else end + self.grid.down(passive + float(by))
        return self._due(entry, after, end + self.grid.up(passive), closes)

    def _due(self, entry: SheetCasting, index: int, opens: int, closes: int | None) -> _Due:
        rank = self.rank.get(entry.order or "", len(self.rank))
        return _Due(max(opens, self.now), rank, entry.id, index, closes)

    def _place(self, due: _Due, queue: list[_Due]) -> SheetTask | None:
        """Place one step, with the castings that can share it, where it fits first."""
        step = self.sheet.castings[due.casting].build.piece.route[due.index]
        alone = self._earliest(due.opens, due.closes, due, 1)
        if alone is None:
            return None
        session = [due]
        if step.together > 1:
            session += self._sharing(due, queue, alone[0], step)
        while len(session) > 1:
            opens = max(entry.opens for entry in session)
            closing = [entry.closes for entry in session if entry.closes is not None]
            found = self._earliest(opens, min(closing, default=None), due, len(session))
            if found is not None:
                return self._write(session, *found)
            session.pop()
        return self._write(session, *alone)

    def _sharing(self, due: _Due, queue: list[_Due], by: int, step: Step) -> list[_Due]:
        others = sorted(
            entry
            for entry in queue
            if entry.index == due.index
            and entry.opens <= by
            and (entry.casting, entry.index) not in self.planned
            and self.sheet.castings[entry.casting].build.piece.route[entry.index] == step
        )
        seen = {due.casting}
        found: list[_Due] = []
        for entry in others:
            if entry.casting not in seen and len(found) < step.together - 1:
                seen.add(entry.casting)
                found.append(entry)
        return found

    def _earliest(
        self, opens: int, closes: int | None, due: _Due, castings: int
    ) -> tuple[int, int, str] | None:
        """Return start, end and person of the earliest place for a session."""
        route = self.sheet.castings[due.casting].build.piece.route
        step = route[due.index]
        length = self.grid.up(float(step.takes) + float(step.each_more) * (castings - 1))
        at, latest = opens, self.end - length if closes is None else min(closes, self.end - length)
        while at <= latest:
            starts = [
                (s, key)
                for key in self.people
                if (s := self.gaps[key].earliest(at, length)) is not None
            ]
            if not starts:
                return None
            start, person = min(starts)
            clear = self._clear(route, due.index, start, start + length, castings)
            if clear == start:
                return (start, start + length, person) if start <= latest else None
            at = max(clear, start + 1)
        return None

    def _clear(
        self, route: tuple[Step, ...], index: int, start: int, end: int, castings: int
    ) -> int:
        """Return `start` if the stations a session needs are free, else a later start to try."""
        wanted = [(route[index].station, start, end, 1)]
        wanted += [
            (key, first, last, castings) for key, first, last in self._drying(route, index + 1, end)
        ]
        for key, first, last, units in wanted:
            if key is not None and key in self.places:
                free = self.places[key].free_from(first, last, units)
                if free > first:
                    return start + free - first
        return start

    def _write(self, session: list[_Due], start: int, end: int, person: str) -> SheetTask:
        castings = [entry.casting for entry in session]
        task = SheetTask("step", person, start, end, castings, session[0].index)
        self.sheet.tasks.append(task)
        self.gaps[person].take(start - self.walk, end + self.walk)
        route = self.sheet.castings[castings[0]].build.piece.route
        self._use(self.places, route[task.index].station, start, end)
        for key, first, last in self._drying(route, task.index + 1, end):
            self._use(self.places, key, first, last, len(castings))
        return task
