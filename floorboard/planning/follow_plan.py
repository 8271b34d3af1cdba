"""Where the plan that people are following has the tasks of a new network."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from floorboard.planning.solution import Placement

if TYPE_CHECKING:
    from collections.abc import Sequence

    from floorboard.floor.floor import Floor
    from floorboard.planning.mold_pools import PoolDraft
    from floorboard.planning.network import Task
    from floorboard.planning.plan import Plan, PlannedCasting, PlannedTask
    from floorboard.planning.shop_problem import GroupRef, TaskRef
    from floorboard.planning.time_grid import TimeGrid

NEXT_HOUR = dt.timedelta(hours=1)

# Nobody calls a task moved that starts within this of where it was.
SLACK_SECONDS = 60


class Followed:
    """The plan being followed, laid over a network.

    `placements` has an entry for every task of the network, None where the plan has none or has
    it in the past.
    """

    def __init__(
        self,
        plan: Plan,
        floor: Floor,
        grid: TimeGrid,
        now: dt.datetime,
        people: tuple[str, ...],
    ) -> None:
        self.plan, self.floor, self.grid, self.now = plan, floor, grid, now
        self.person = {key: index for index, key in enumerate(people)}
        self.starts = {task.castings[0]: task.start for task in plan.tasks if task.kind == "ready"}
        self.tasks: dict[tuple[str, str, int], PlannedTask] = {
            (task.kind, casting, task.index): task
            for task in plan.tasks
            for casting in task.castings
        }
        self.first = grid.at_or_after(now)
        self.placements: list[Placement | None] = []

    def lay(
        self,
        refs: Sequence[TaskRef | None],
        tasks: Sequence[Task],
        groups: Sequence[GroupRef],
        pools: dict[str, PoolDraft],
        day_end: dt.datetime,
    ) -> None:
        """Fill `placements` for the tasks of a network and what they stand for."""
        named = self.names(groups, pools, day_end)
        found: dict[tuple[str, str, int], int] = {}
        wanted: list[tuple[int, PlannedTask, str]] = []
        self.placements = [None] * len(tasks)
        for index, ref in enumerate(refs):
            if ref is None or tasks[index].fixed_start is not None or ref.casting not in named:
                continue
            planned = self.tasks.get((ref.kind, named[ref.casting], ref.index))
            if planned is not None:
                wanted.append((index, planned, named[ref.casting]))
                found[ref.kind, named[ref.casting], ref.index] = index
        for index, planned, casting in wanted:
            self.placements[index] = self.place(index, planned, casting, tasks, found)

    def place(
        self,
        index: int,
        planned: PlannedTask,
        casting: str,
        tasks: Sequence[Task],
        found: dict[tuple[str, str, int], int],
    ) -> Placement | None:
        task, person = tasks[index], self.person.get(planned.person)
        before = self.before(planned, casting)
        ready = self.grid.at_or_after(planned.start)
        leader, previous = index, None
        if before is None:
            ready += 0 if planned.kind == "layer" else task.setup
        else:
            known = found.get(before[0]), found.get(before[-1])
            if known[0] is None or known[1] is None:
                return None
            leader, previous = known[0], known[1]
            if planned.kind == "step":
                first = tasks[leader]
                ready += first.setup + first.duration + task.duration * (len(before) - 1)
        start = ready if before is not None else ready - task.setup
        if start < self.first:
            return None
        return Placement(start, ready, ready + task.duration, person, previous, leader)

    def before(self, planned: PlannedTask, casting: str) -> list[tuple[str, str, int]] | None:
        """Return the tasks before this one in its batch or session, None if it is the first."""
        if planned.kind == "step":
            place = planned.castings.index(casting)
            first = [("step", name, planned.index) for name in planned.castings[:place]]
            return first or None
        batch = self.plan.batch(planned.batch) if planned.batch else None
        if batch is None:
            return None
        keys = [("layer", s.casting, s.layer) for s in batch.servings]
        keys = sorted((key for key in keys if key in self.tasks), key=lambda k: self.tasks[k].start)
        place = keys.index(("layer", casting, planned.index))
        return keys[:place] or None

    def names(
        self, groups: Sequence[GroupRef], pools: dict[str, PoolDraft], day_end: dt.datetime
    ) -> dict[str, str]:
        """Return the name in the plan of each casting of the network that it had."""
        known = {casting.id: casting for casting in self.plan.castings}
        found: dict[str, str] = {}
        for group in groups:
            if group.pool is None:
                name = self.begun_as(group.casting, known)
                if name is not None:
                    found[group.casting] = name
        taken = set(found.values())
        coming = [c for c in known.values() if c.new and c.id not in taken and self.to_come(c)]
        coming.sort(key=lambda casting: (self.starts[casting.id], casting.id))
        for group in groups:
            if group.pool is None:
                continue
            for casting in coming:
                if (
                    casting.mold in pools[group.pool].molds
                    and _kind(casting, day_end) == group.kind
                ):
                    found[group.casting] = casting.id
                    coming.remove(casting)
                    break
        return found

    def begun_as(self, serial: str, known: dict[str, PlannedCasting]) -> str | None:
        """Return the name a casting on the floor had in the plan, perhaps before it was begun."""
        if serial in known:
            return serial
        fact = self.floor.castings[serial]
        if fact.begun_at < self.plan.made_at - NEXT_HOUR:
            return None
        same = [c for c in known.values() if c.new and c.mold == fact.mold and c.id in self.starts]
        return min((c.id for c in same), key=lambda name: self.starts[name], default=None)

    def to_come(self, casting: PlannedCasting) -> bool:
        return casting.id in self.starts and self.starts[casting.id] >= self.now

    def next_hour(self) -> list[tuple[int, int, int | None]]:
        """Return (task, start, person) of the tasks of the next hour, in steps."""
        last = self.grid.at_or_before(self.now + NEXT_HOUR)
        return [
            (index, entry.start, entry.person)
            for index, entry in enumerate(self.placements)
            if entry is not None and entry.start < last
        ]


def _kind(casting: PlannedCasting, day_end: dt.datetime) -> str:
    late = casting.demolded_at is None or casting.demolded_at > day_end
    return "overnight" if late else "today"
