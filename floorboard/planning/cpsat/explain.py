"""Why a network has no schedule: the cheapest overrun of its waits and deadlines.

Every greatest wait and every deadline is given an overrun, and the sum of the overruns is made as
small as possible. Those that stay above 0 are what stands in the way, with the steps each fails
by: what would have to give, at the least.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from floorboard.planning.clusters import mandatory
from floorboard.planning.cpsat.model import SceneModel
from floorboard.planning.cpsat.scene import scene_of
from floorboard.planning.insertion import facts_of
from floorboard.planning.layout import Layout
from floorboard.planning.solution import Conflict

if TYPE_CHECKING:
    from collections.abc import Iterator

    from floorboard.planning.cpsat.variables import Expression, Variables
    from floorboard.planning.network import Person, Problem
    from floorboard.planning.solution import Limits

Overrun = tuple["Expression", "Expression", Conflict]
"""`(overrun variable, what it is at least, the conflict it stands for)`."""


def cheapest_overrun(problem: Problem, limits: Limits) -> tuple[Conflict, ...]:
    """Return what the mandatory tasks of a problem overrun at the least, in steps.

    Empty when no schedule is found even so: then hands, stations or batches stand in the way.
    """
    from ortools.sat.python import cp_model

    layout = Layout(_relaxed(problem))
    clusters = enumerate(layout.clusters)
    needed = tuple(index for index, entry in clusters if mandatory(problem, entry.group))
    model = SceneModel(scene_of(facts_of(layout), needed), prove=False)
    overruns = [*_waits(problem, model.variables), *_deadlines(problem, model.variables)]
    for over, least, _ in overruns:
        model.model.add(over >= least)
    model.model.minimize(sum(over for over, _, _ in overruns))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = limits.workers
    solver.parameters.random_seed = limits.seed
    solver.parameters.max_time_in_seconds = limits.seconds
    if limits.deterministic is not None:
        solver.parameters.max_deterministic_time = limits.deterministic
    if solver.solve(model.model) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return ()
    found = [(solver.value(over), conflict) for over, _, conflict in overruns]
    return tuple(
        replace(conflict, amount=steps, message=f"{conflict.message} {steps} steps.")
        for steps, conflict in found
        if steps
    )


def _relaxed(problem: Problem) -> Problem:
    """Return a problem with twice the time and without greatest waits and deadlines."""
    return replace(
        problem,
        horizon=2 * problem.horizon,
        people=tuple(_working_on(person, problem.horizon) for person in problem.people),
        tasks=tuple(replace(task, deadline=None) for task in problem.tasks),
        lags=tuple(replace(lag, greatest=None) for lag in problem.lags),
        reference=(),
    )


def _working_on(person: Person, horizon: int) -> Person:
    """Return a person who works on after the horizon."""
    kept = [span for span in person.stretches if span[1] < horizon]
    last = [start for start, end in person.stretches if end >= horizon]
    return replace(person, stretches=(*kept, (last[0] if last else horizon, 2 * horizon)))


def _waits(problem: Problem, variables: Variables) -> Iterator[Overrun]:
    for lag in problem.lags:
        first, second = variables.tasks.get(lag.before), variables.tasks.get(lag.after)
        if lag.greatest is None or first is None or second is None:
            continue
        wait = second.at(lag.after_anchor) - first.at(lag.before_anchor)
        before, after = problem.tasks[lag.before].name, problem.tasks[lag.after].name
        message = f"{after} may come at most {lag.greatest} after {before} and is later by"
        conflict = Conflict("greatest_wait", (lag.before, lag.after), 0, message)
        yield _over(variables), wait - lag.greatest, conflict


def _deadlines(problem: Problem, variables: Variables) -> Iterator[Overrun]:
    for task in variables.scene.domains:
        latest = problem.deadline(task)
        message = f"{problem.tasks[task].name} has to end by {latest} and is later by"
        conflict = Conflict("time", (task,), 0, message)
        yield _over(variables), variables.tasks[task].end - latest, conflict


def _over(variables: Variables) -> Expression:
    return variables.model.new_int_var(0, 4 * variables.scene.problem.horizon, "overrun")
