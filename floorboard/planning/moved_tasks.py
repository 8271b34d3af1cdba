"""How far a new plan leaves the one people are following."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from floorboard.floor.floor import Floor
    from floorboard.planning.plan import Plan, PlannedTask

NEXT_HOUR = dt.timedelta(hours=1)

# Nobody calls a task moved that starts within this of where it was.
SLACK = dt.timedelta(seconds=60)

_Key = tuple[str, str, int, tuple[str, ...]]


def moved_tasks(floor: Floor, before: Plan, after: Plan) -> int:
    """Return how many tasks of the next hour of a plan are elsewhere, or gone, in a newer one.

    A task is known by its kind, its person, its layer or step and the molds it is on, for a
    casting that was only planned may have been begun since. It has moved when the newer plan has
    none like it within a minute of its start.
    """
    now = after.made_at
    there: dict[_Key, list[dt.datetime]] = {}
    molds = _molds(floor, after)
    for task in after.tasks:
        there.setdefault(_key(task, molds), []).append(task.start)
    molds = _molds(floor, before)
    moved = 0
    for task in before.tasks:
        if task.fixed or not now <= task.start < now + NEXT_HOUR:
            continue
        starts = there.get(_key(task, molds), [])
        same = next((start for start in starts if abs(start - task.start) <= SLACK), None)
        if same is None:
            moved += 1
        else:
            starts.remove(same)
    return moved


def _molds(floor: Floor, plan: Plan) -> dict[str, str]:
    found = {serial: casting.mold for serial, casting in floor.castings.items()}
    found.update({casting.id: casting.mold for casting in plan.castings})
    return found


def _key(task: PlannedTask, molds: dict[str, str]) -> _Key:
    on = tuple(sorted(molds.get(casting, casting) for casting in task.castings))
    return task.kind, task.person, task.index, on
