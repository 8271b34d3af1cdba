"""What a schedule is worth, in the order a shop cares about it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.planning.network import Goal

if TYPE_CHECKING:
    from floorboard.planning.network import Group, Problem
    from floorboard.planning.solution import Placements


def objective_of(problem: Problem, placements: Placements) -> tuple[int, ...]:
    """Return what is minimised, most important first (see `Solution.objective`)."""
    if problem.goal is Goal.MAKESPAN:
        return (max((placed.end for placed in placements if placed is not None), default=0),)
    lost = late = left_out = finishes = 0
    for group in problem.groups:
        finish = group_finish(group, placements)
        late += lateness(problem, group, finish)
        if finish is not None:
            finishes += finish
        elif group.in_hand:
            lost += group.worth
        else:
            left_out += group.worth
    return lost, late, left_out, finishes, moved_tasks(problem, placements)


def group_finish(group: Group, placements: Placements) -> int | None:
    """Return the end of a group's last task, None when the group is absent."""
    finish = 0
    for task in group.tasks:
        placed = placements[task]
        if placed is None:
            return None
        finish = max(finish, placed.end)
    return finish


def lateness(problem: Problem, group: Group, finish: int | None) -> int:
    """Return the weighted steps a group is late; an absent one counts as at the horizon."""
    if group.due is None or not group.late_weight:
        return 0
    end = problem.horizon if finish is None else finish
    return group.late_weight * max(0, end - group.due)


def moved_tasks(problem: Problem, placements: Placements) -> int:
    """Return how many tasks of the reference plan are elsewhere in this one."""
    moved = 0
    for entry in problem.reference:
        placed = placements[entry.task]
        if (
            placed is None
            or abs(placed.start - entry.start) > problem.reference_slack
            or (entry.person is not None and placed.person != entry.person)
        ):
            moved += 1
    return moved


def gap_of(problem: Problem, objective: tuple[int, ...], bound: tuple[int, ...]) -> float | None:
    """Return how far an objective is from a proven bound, relative; None without a bound.

    Judged at the first tier where they differ. Worth left out is judged by the worth planned,
    for that is what is wanted: nine castings of ten possible are a gap of a tenth.
    """
    if not bound:
        return None
    for tier, (value, least) in enumerate(zip(objective, bound, strict=False)):
        if value == least:
            continue
        if problem.goal is Goal.TIERS and tier in (0, 2):
            whole = sum(g.worth for g in problem.groups if g.in_hand is (tier == 0))
            return (value - least) / max(1, whole - least)
        return (value - least) / max(1, abs(value))
    return 0.0
