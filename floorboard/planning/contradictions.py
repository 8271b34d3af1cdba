"""What can never be kept, found without solving: waits that add up in a circle, tasks too long.

The waits, releases, deadlines and facts of tasks that go together are differences of moments. If
walking along them in a circle adds up to more than nothing, no schedule keeps them all: the
circle is named, with the steps by which it fails (Bellman and Ford's longest paths).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from floorboard.planning.clusters import arc_of, mandatory, own_setup
from floorboard.planning.solution import Conflict

if TYPE_CHECKING:
    from collections.abc import Iterator

    from floorboard.planning.layout import Layout
    from floorboard.planning.network import Problem

ORIGIN = -1
"""Stands for step 0 among the tasks of a circle."""


@dataclass(frozen=True, slots=True)
class _Edge:
    """`READY(after) - READY(before) >= least`, and the rule that says so."""

    before: int
    after: int
    least: int
    rule: str


def contradictions(layout: Layout) -> list[Conflict]:
    """Return what can never be kept: of the mandatory tasks, and of every group by itself."""
    problem = layout.problem
    sets: list[set[int]] = [set()]
    for cluster in layout.clusters:
        if mandatory(problem, cluster.group):
            sets[0].update(cluster.tasks)
        else:
            sets.append(set(cluster.tasks))
    found = [conflict for task in range(len(problem.tasks)) for conflict in _alone(problem, task)]
    for tasks in sets:
        circle = _circle(_edges(problem, tasks), tasks)
        if circle:
            found.append(_conflict(problem, circle))
    return found


def _alone(problem: Problem, index: int) -> Iterator[Conflict]:
    """Yield what is wrong with a task by itself."""
    task = problem.tasks[index]
    if task.fixed_start is not None:
        return
    length = task.duration + own_setup(task)
    longest = max(
        (end - start for person in task.people for start, end in problem.people[person].stretches),
        default=0,
    )
    if task.people and longest < length and task.follows is None:
        message = (
            f"{task.name} takes {length} steps, and the longest stretch of those who can do it is "
            f"{longest}."
        )
        yield Conflict("stretch", (index,), length - longest, message)
    for station, units in task.demands:
        entry = problem.stations[station]
        if units > entry.capacity:
            message = f"{task.name} needs {units} of {entry.name}, and there are {entry.capacity}."
            yield Conflict("station", (index,), units - entry.capacity, message)
    if task.family is None:
        return
    family = problem.families[task.family]
    if task.weight > family.max_weight:
        over = task.weight - family.max_weight
        message = f"{task.name} weighs {task.weight}, {over} more than a batch of {family.name}."
        yield Conflict("batch_weight", (index,), over, message)
    span = task.setup - task.dry_setup + task.duration
    if span > family.max_span and task.follows is None:
        message = (
            f"{task.name} is done {span} steps after its batch is wet, and {family.name} lasts "
            f"{family.max_span}."
        )
        yield Conflict("batch_span", (index,), span - family.max_span, message)


def _edges(problem: Problem, tasks: set[int]) -> list[_Edge]:
    edges: list[_Edge] = []
    for index in tasks:
        task = problem.tasks[index]
        setup = own_setup(task) if task.family is None or task.fixed_start is not None else 0
        edges.append(_Edge(ORIGIN, index, problem.release(index) + setup, "time"))
        if task.fixed_start is not None:
            edges.append(_Edge(index, ORIGIN, -(task.fixed_start + own_setup(task)), "facts"))
        else:
            latest = problem.deadline(index) - task.duration
            edges.append(_Edge(index, ORIGIN, -latest, "time"))
    for lag in problem.lags:
        if lag.before not in tasks or lag.after not in tasks:
            continue
        least, greatest, _ = arc_of(problem, lag)
        if least is not None:
            edges.append(_Edge(lag.before, lag.after, least, "least_wait"))
        if greatest is not None:
            edges.append(_Edge(lag.after, lag.before, -greatest, "greatest_wait"))
    return edges


def _circle(edges: list[_Edge], tasks: set[int]) -> list[_Edge]:
    """Return a circle of edges that adds up to more than 0, or nothing."""
    far = dict.fromkeys([ORIGIN, *tasks], 0)
    reached: dict[int, _Edge] = {}
    last: int | None = None
    for _ in range(len(far)):
        last = None
        for edge in edges:
            if far[edge.before] + edge.least > far[edge.after]:
                far[edge.after] = far[edge.before] + edge.least
                reached[edge.after] = edge
                last = edge.after
        if last is None:
            return []
    assert last is not None
    for _ in far:
        last = reached[last].before
    circle: list[_Edge] = []
    at = last
    while not circle or at != last:
        circle.append(reached[at])
        at = reached[at].before
    return circle[::-1]


def _conflict(problem: Problem, circle: list[_Edge]) -> Conflict:
    amount = sum(edge.least for edge in circle)
    tasks = tuple(edge.after for edge in circle if edge.after != ORIGIN)
    parts = [_says(problem, edge) for edge in circle]
    message = f"These cannot all be kept, by {amount} steps: {'; '.join(parts)}."
    rules = {edge.rule for edge in circle}
    for rule in ("greatest_wait", "time", "facts"):
        if rule in rules:
            return Conflict(rule, tasks, amount, message)
    return Conflict("least_wait", tasks, amount, message)


def _says(problem: Problem, edge: _Edge) -> str:
    if edge.before == ORIGIN:
        return f"{problem.tasks[edge.after].name} is ready no earlier than {edge.least}"
    if edge.after == ORIGIN:
        return f"{problem.tasks[edge.before].name} is ready no later than {-edge.least}"
    before, after = problem.tasks[edge.before].name, problem.tasks[edge.after].name
    if edge.rule == "greatest_wait":
        return f"{before} is ready at most {-edge.least} after {after}"
    return f"{after} is ready at least {edge.least} after {before}"
