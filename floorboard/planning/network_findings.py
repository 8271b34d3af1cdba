"""What is impossible in a network's own definitions, found before any solving."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.planning.errors import NetworkError
from floorboard.planning.network import Moment

if TYPE_CHECKING:
    from collections.abc import Iterator

    from floorboard.planning.network import Group, Hold, Problem, Task


def refuse_impossible(problem: Problem) -> None:
    """Raise `NetworkError` naming everything that is wrong."""
    findings = [*_people(problem), *_tasks(problem), *_links(problem), *_groups(problem)]
    if findings:
        raise NetworkError(" ".join(findings))


def _people(problem: Problem) -> Iterator[str]:
    if problem.horizon <= 0:
        yield f"The horizon is {problem.horizon}; it must be at least 1 step."
    for person in problem.people:
        previous = -1
        for start, end in person.stretches:
            if start < 0 or end <= start or start <= previous:
                yield (
                    f"{person.name}: the stretch {start}-{end} must start at 0 or later, after the "
                    "one before with a break between, and have some length."
                )
            previous = end
    for station in problem.stations:
        if station.capacity < 0:
            yield f"{station.name}: the capacity {station.capacity} must be 0 or more."


def _tasks(problem: Problem) -> Iterator[str]:
    # The tasks of a shop share a few lists of people: each is looked through once.
    known: set[tuple[int, ...]] = set()
    for task in problem.tasks:
        if task.duration < 0 or task.setup < 0 or not 0 <= task.dry_setup <= task.setup:
            yield f"{task.name}: lengths must be 0 or more, and dry_setup within setup."
        if task.people and task.duration < 1:
            yield f"{task.name}: a hands-on task needs a duration of at least 1 step."
        if task.weight < 0 or any(units < 0 for _, units in task.demands):
            yield f"{task.name}: weight and station units must be 0 or more."
        if task.people not in known:
            once = len(set(task.people)) == len(task.people)
            if once and _inside(task.people, len(problem.people)):
                known.add(task.people)
            else:
                yield f"{task.name}: people must be known, each listed once."
        stations = [station for station, _ in task.demands]
        if not _inside(stations, len(problem.stations)) or len(set(stations)) != len(stations):
            yield f"{task.name}: stations must be known, each listed once."
        yield from _family(problem, task)
        yield from _fact(problem, task)


def _family(problem: Problem, task: Task) -> Iterator[str]:
    if task.family is None:
        if task.follows is not None:
            yield f"{task.name}: only a task with a family can follow another in a batch."
        return
    if not 0 <= task.family < len(problem.families):
        yield f"{task.name}: the family {task.family} is not known."
    if not task.people:
        yield f"{task.name}: a task that shares a set-up needs people."
    if task.follows is not None and (
        not 0 <= task.follows < len(problem.tasks)
        or problem.tasks[task.follows].family != task.family
    ):
        yield f"{task.name}: the task it follows must be of the same family."


def _fact(problem: Problem, task: Task) -> Iterator[str]:
    if task.fixed_person is not None and not 0 <= task.fixed_person < len(problem.people):
        yield f"{task.name}: the person {task.fixed_person} is not known."
    if task.fixed_start is None:
        if task.fixed_person is not None:
            yield f"{task.name}: has not started, so name who can do it in `people` alone."
        return
    if task.fixed_start < 0:
        yield f"{task.name}: started {task.fixed_start}; let the grid begin there or earlier."
    if task.people and task.fixed_person is None:
        yield f"{task.name}: has started, so say who does it."


def _links(problem: Problem) -> Iterator[str]:
    for lag in problem.lags:
        if not _inside((lag.before, lag.after), len(problem.tasks)):
            yield f"A wait {lag.name!r} names a task that is not there."
        elif lag.least is not None and lag.greatest is not None and lag.least > lag.greatest:
            names = problem.tasks[lag.before].name, problem.tasks[lag.after].name
            yield f"Between {names[0]} and {names[1]} the least wait exceeds the greatest."
    for hold in problem.holds:
        yield from _hold(problem, hold)


def _hold(problem: Problem, hold: Hold) -> Iterator[str]:
    if not 0 <= hold.station < len(problem.stations):
        yield f"A hold names the station {hold.station}, which is not there."
        return
    name = problem.stations[hold.station].name
    tasks = [edge.task for edge in (hold.start, hold.end) if isinstance(edge, Moment)]
    if not _inside(tasks, len(problem.tasks)):
        yield f"A hold of {name} names a task that is not there."
    elif len({problem.group_of[task] for task in tasks}) > 1:
        yield f"A hold of {name} names tasks of two groups."
    if hold.units < 1:
        yield f"A hold of {name} must hold at least one unit."
    if hold.lost_until is not None and isinstance(hold.start, Moment):
        yield f"A hold of {name} that outlasts its group must start at a fixed step."


def _groups(problem: Problem) -> Iterator[str]:
    seen: set[int] = set()
    for group in problem.groups:
        if not group.tasks or not _inside(group.tasks, len(problem.tasks)):
            yield f"{group.name}: its tasks must be known, and at least one."
        if seen.intersection(group.tasks):
            yield f"{group.name}: shares a task with another group."
        seen.update(group.tasks)
        if group.worth < 0 or group.late_weight < 0:
            yield f"{group.name}: worth and late_weight must be 0 or more."
    yield from _alike(problem)
    if not _inside([entry.task for entry in problem.reference], len(problem.tasks)):
        yield "The reference plan names a task that is not there."


def _alike(problem: Problem) -> Iterator[str]:
    """Interchangeable groups must look alike task by task."""
    first: dict[int, tuple[Group, list[tuple[object, ...] | None]]] = {}
    for group in problem.groups:
        if group.alike is None:
            continue
        shapes = [_shape(problem, task) for task in group.tasks]
        model, wanted = first.setdefault(group.alike, (group, shapes))
        if shapes != wanted:
            yield f"{group.name} is said to be interchangeable with {model.name} but differs."


def _shape(problem: Problem, index: int) -> tuple[object, ...] | None:
    if not 0 <= index < len(problem.tasks):
        return None
    task = problem.tasks[index]
    own = (task.duration, task.people, task.setup, task.dry_setup, task.family, task.weight)
    return (*own, task.demands, task.release, task.deadline, task.fixed_start)


def _inside(indices: list[int] | tuple[int, ...], count: int) -> bool:
    return all(0 <= index < count for index in indices)
