"""The optimum of a tiny network by trying every placement of every task."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from floorboard.planning.check_network import CHECKS, Violation
from floorboard.planning.check_objective import stated_objective
from floorboard.planning.solution import Placement

if TYPE_CHECKING:
    from collections.abc import Iterator

    from floorboard.planning.network import Problem

Partial = list[Placement | None]


def best_of_all(problem: Problem) -> tuple[int, ...]:
    """Return the least objective of all schedules that the checker accepts.

    Groups are chosen present or absent; tasks are tried at every step, by everyone who can do
    them, leading and riding; a partial schedule is dropped as soon as a rule other than
    presence is broken, for adding tasks mends no other breach.
    """
    best: list[tuple[int, ...]] = []
    for absent in _choices(problem):
        order = [task for task in range(len(problem.tasks)) if task not in absent]
        _extend(problem, order, [None] * len(problem.tasks), best)
    return min(best)


def _choices(problem: Problem) -> Iterator[set[int]]:
    for chosen in range(1 << len(problem.groups)):
        yield {
            task
            for place, group in enumerate(problem.groups)
            if chosen >> place & 1
            for task in group.tasks
        }


def _extend(
    problem: Problem, order: list[int], placed: Partial, best: list[tuple[int, ...]]
) -> None:
    if not order:
        whole = _with_leaders(placed)
        if not _breaches(problem, whole, ()):
            best.append(stated_objective(problem, tuple(whole)))
        return
    for placement in _everywhere(problem, order[0], placed):
        placed[order[0]] = placement
        # A rider may come before its batch in the order of tasks: only the whole plan tells.
        if not _breaches(problem, placed, ("presence", "batch")):
            _extend(problem, order[1:], placed, best)
    placed[order[0]] = None


def _everywhere(problem: Problem, index: int, placed: Partial) -> Iterator[Placement]:
    task = problem.tasks[index]
    if task.fixed_start is not None:
        ready = task.fixed_start + (task.setup if task.follows is None else 0)
        end = ready + task.duration
        leader = index if task.follows is None else task.follows
        yield Placement(task.fixed_start, ready, end, task.fixed_person, task.follows, leader)
        return
    for start in range(problem.now, problem.horizon - task.duration + 1):
        for person in task.people or (None,):
            end = start + task.setup + task.duration
            if task.follows is None:
                yield Placement(start, start + task.setup, end, person, None, index)
            if task.family is None:
                continue
            for other, entry in enumerate(problem.tasks):
                before = placed[other]
                if other != index and entry.family == task.family:
                    leader = other if before is None else before.leader
                    yield Placement(start, start, start + task.duration, person, other, leader)


def _with_leaders(placed: Partial) -> Partial:
    """Return the placements with the leader of every batch, which a rider may not have known."""
    whole: Partial = []
    for index, placement in enumerate(placed):
        at, seen = index, 0
        while (entry := placed[at]) is not None and entry.previous is not None and seen < 9:
            at, seen = entry.previous, seen + 1
        whole.append(None if placement is None else replace(placement, leader=at))
    return whole


def _breaches(problem: Problem, placed: Partial, but: tuple[str, ...]) -> list[Violation]:
    plan = tuple(placed)
    for rule, check in CHECKS.items():
        if rule not in but:
            found = list(check(problem, plan))
            if found:
                return found
    return []
