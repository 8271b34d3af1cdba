"""Give a schedule to a scene's model: as hints to start from, or as the only one allowed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.planning.network import Moment
from floorboard.planning.steps import lowest
from floorboard.planning.timetable import AT

if TYPE_CHECKING:
    from collections.abc import Iterator

    from floorboard.planning.cpsat.model import SceneModel
    from floorboard.planning.cpsat.variables import Expression, Variables
    from floorboard.planning.network import Hold
    from floorboard.planning.solution import Placements

Moments = dict[int, tuple[int, int, int]]
"""Task -> `(START, READY, END)`."""


def add_hints(model: SceneModel, placements: Placements) -> None:
    """Let the engine start from a schedule of the same problem."""
    model.model.clear_hints()  # type: ignore[no-untyped-call]
    for variable, value in values_of(model, placements):
        if not isinstance(variable, int):
            model.model.add_hint(variable, value)


def fix(model: SceneModel, placements: Placements) -> None:
    """Allow only this schedule: whether, when, who rides on what."""
    variables = model.variables
    for variable, value in _decisions(variables, placements):
        if isinstance(variable, int):
            if variable != value:
                model.model.add_bool_or([])
        else:
            model.model.add(variable == value)


def values_of(model: SceneModel, placements: Placements) -> Iterator[tuple[Expression, int]]:
    """Yield every variable of a model with its value in a schedule."""
    variables = model.variables
    moments = _moments(variables, placements)
    yield from _decisions(variables, placements)
    for task, (start, ready, _) in moments.items():
        made, placed = variables.tasks[task], placements[task]
        if placed is None:
            yield made.ready, ready
            family = variables.scene.problem.tasks[task].family
            if made.start is not made.ready and family is not None:
                yield made.start, start
    yield from _batches(variables, placements)
    yield from _stations(variables, placements, moments)
    yield from _objective(variables, placements, moments)


def _decisions(variables: Variables, placements: Placements) -> Iterator[tuple[Expression, int]]:
    scene = variables.scene
    for index, present in variables.groups.items():
        tasks = scene.layout.clusters[index].tasks
        yield present, int(all(placements[task] is not None for task in tasks))
    for task in scene.domains:
        made, placed = variables.tasks[task], placements[task]
        crew = None if placed is None or placed.person is None else scene.crew_of[placed.person]
        if len(made.crews) > 1:
            for other, literal in made.crews.items():
                yield literal, int(other == crew)
        if placed is None:
            continue
        yield made.ready, placed.ready
        if made.start is not made.ready and scene.problem.tasks[task].family is not None:
            yield made.start, placed.start
            if made.leads is not made.present:
                yield made.leads, int(placed.previous is None)
    for (before, after), arc in variables.follows.items():
        placed = placements[after]
        yield arc, int(placed is not None and placed.previous == before)


def _moments(variables: Variables, placements: Placements) -> Moments:
    """Return the moments of every task, of absent ones the earliest that keep their waits."""
    scene, moments = variables.scene, {}
    for index in scene.free:
        if index in scene.impossible:
            continue
        cluster = scene.layout.clusters[index]
        ready: list[int] = []
        for position, task in enumerate(cluster.tasks):
            entry, placed = scene.problem.tasks[task], placements[task]
            if placed is not None:
                moments[task] = placed.start, placed.ready, placed.end
                ready.append(placed.ready)
                continue
            steps = scene.ready_steps(task)
            for i, least, greatest in cluster.into[position]:
                if least is not None and ready[i] + least > 0:
                    steps = steps >> (ready[i] + least) << (ready[i] + least)
                if greatest is not None:
                    steps &= (1 << max(0, ready[i] + greatest + 1)) - 1
            at = lowest(steps) if steps else scene.ready_first(task)
            ready.append(at)
            moments[task] = at, at, at + entry.duration
    return {task: at for task, at in moments.items() if scene.is_free(task)}


def _batches(variables: Variables, placements: Placements) -> Iterator[tuple[Expression, int]]:
    problem = variables.scene.problem
    for task in variables.scene.domains:
        entry, made = problem.tasks[task], variables.tasks[task]
        if entry.family is None:
            continue
        placed = placements[task]
        if placed is None:
            yield made.age, min(entry.duration, problem.families[entry.family].max_span)
            yield made.load, entry.weight
            yield made.leads, 0
            continue
        leader, load, at = placements[placed.leader], 0, task
        assert leader is not None
        while True:
            load += problem.tasks[at].weight
            before = placements[at]
            if before is None or before.previous is None:
                break
            at = before.previous
        yield made.age, placed.end - leader.start - problem.tasks[placed.leader].dry_setup
        yield made.load, load


def _stations(
    variables: Variables, placements: Placements, moments: Moments
) -> Iterator[tuple[Expression, int]]:
    holds = variables.scene.problem.holds
    for place, (latest, size) in variables.hold_ends.items():
        start, end = _span(variables, holds[place], moments)
        yield latest, max(start, end)
        yield size, max(0, end - start)
    for place, lost in variables.lost_holds.items():
        edge = holds[place].start if isinstance(holds[place].start, Moment) else holds[place].end
        assert isinstance(edge, Moment)
        yield lost, int(placements[edge.task] is None)


def _span(variables: Variables, hold: Hold, moments: Moments) -> tuple[int, int]:
    edges = []
    for edge in (hold.start, hold.end):
        if isinstance(edge, Moment):
            known = moments.get(edge.task)
            if known is None:
                placed = variables.scene.constant[edge.task]
                assert placed is not None
                known = placed[:3]
            edges.append(known[AT[edge.anchor]] + edge.offset)
        else:
            edges.append(variables.scene.problem.horizon if edge is None else edge)
    return edges[0], edges[1]


def _objective(
    variables: Variables, placements: Placements, moments: Moments
) -> Iterator[tuple[Expression, int]]:
    scene, problem = variables.scene, variables.scene.problem
    finishes: dict[int, int | None] = {}
    for index in variables.finish:
        tasks = scene.layout.clusters[index].tasks
        ends = [placed.end for task in tasks if (placed := placements[task]) is not None]
        finishes[index] = max(ends) if len(ends) == len(tasks) else None
    for variable, tasks, floor in variables.highest:
        yield variable, max([floor, *(moments[task][2] for task in tasks if task in moments)])
    for index, variable in variables.counted.items():
        yield variable, finishes[index] or 0
    for index, variable in variables.late.items():
        group = problem.groups[scene.layout.clusters[index].group or 0]
        end = problem.horizon if finishes[index] is None else finishes[index]
        yield variable, max(0, (end or 0) - (group.due or 0))
    for entry in problem.reference:
        if entry.task in variables.moved:
            placed = placements[entry.task]
            there = (
                placed is not None and abs(placed.start - entry.start) <= problem.reference_slack
            )
            same = placed is not None and (
                entry.person is None
                or scene.crew_of[entry.person] == scene.crew_of.get(placed.person or 0)
            )
            yield variables.moved[entry.task], int(not (there and same))
