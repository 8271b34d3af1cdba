"""What placements amount to, worked out for the checker alone."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.planning.network import Goal

if TYPE_CHECKING:
    from floorboard.planning.network import Problem
    from floorboard.planning.solution import Placements


def stated_objective(problem: Problem, placements: Placements) -> tuple[int, ...]:
    """Return the objective by its definition in `Solution`; groups must be whole."""
    if problem.goal is Goal.MAKESPAN:
        return (max((placed.end for placed in placements if placed), default=0),)
    finishes = {
        index: max((placed.end for task in group.tasks if (placed := placements[task])), default=-1)
        for index, group in enumerate(problem.groups)
    }
    groups = problem.groups
    absent = {index for index, finish in finishes.items() if finish < 0}
    ends = {
        index: problem.horizon if index in absent else finish for index, finish in finishes.items()
    }
    return (
        sum(groups[index].worth for index in absent if groups[index].in_hand),
        sum(
            group.late_weight * max(0, ends[index] - group.due)
            for index, group in enumerate(groups)
            if group.due is not None
        ),
        sum(groups[index].worth for index in absent if not groups[index].in_hand),
        sum(finish for index, finish in finishes.items() if index not in absent),
        sum(_moved(problem, placements, place) for place in range(len(problem.reference))),
    )


def _moved(problem: Problem, placements: Placements, place: int) -> bool:
    entry = problem.reference[place]
    placed = placements[entry.task]
    if not placed:
        return True
    shifted = abs(placed.start - entry.start) > problem.reference_slack
    return shifted or entry.person not in (None, placed.person)
