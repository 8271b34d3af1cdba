"""Interchangeable groups: which they are, and a schedule that plans the first of them first.

Sorting settles who is who. If the moments of each position (all first layers, all second layers,
...) of interchangeable groups are sorted and dealt out again in that order, every wait that was
kept is still kept, stations and hands are used exactly as before, and with due dates in the same
order the sum of latenesses is no larger. So it is enough to look for sorted schedules.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.planning.solution import Placement

if TYPE_CHECKING:
    from floorboard.planning.layout import Layout
    from floorboard.planning.solution import Placements

Kind = tuple[int, int, int]
"""`(alike, worth, late_weight)`: only groups that agree in all may be swapped at no cost."""


def alike_kinds(layout: Layout) -> dict[Kind, list[int]]:
    """Return the clusters of every kind of interchangeable groups, in the order of the groups.

    A group with a task that has a place of its own (a fact, a reference, a batch it has to
    follow) or waits to other groups is not interchangeable, whatever it says.
    """
    problem = layout.problem
    named = {entry.task for entry in problem.reference}
    named |= {task.follows for task in problem.tasks if task.follows is not None}
    kinds: dict[Kind, list[int]] = {}
    for index, cluster in enumerate(layout.clusters):
        if cluster.group is None or cluster.outer or cluster.strict:
            continue
        group = problem.groups[cluster.group]
        if group.alike is None or any(
            task in named
            or problem.tasks[task].fixed_start is not None
            or problem.tasks[task].follows is not None
            for task in cluster.tasks
        ):
            continue
        kinds.setdefault((group.alike, group.worth, group.late_weight), []).append(index)
    return {kind: clusters for kind, clusters in kinds.items() if len(clusters) > 1}


def sorted_out(layout: Layout, placements: Placements) -> Placements:
    """Return the same schedule with interchangeable groups in order, absent ones last."""
    problem = layout.problem
    new_of = list(range(len(problem.tasks)))
    moved = False
    for clusters in alike_kinds(layout).values():
        groups = [problem.groups[layout.clusters[i].group or 0] for i in clusters]
        for position in range(len(groups[0].tasks)):
            places = [group.tasks[position] for group in groups]
            by_time = sorted(places, key=lambda task: _ready(placements, task))
            for old, new in zip(by_time, places, strict=True):
                new_of[old] = new
                moved = moved or old != new
    if not moved:
        return placements
    dealt: list[Placement | None] = [None] * len(placements)
    for old, placement in enumerate(placements):
        if placement is not None:
            dealt[new_of[old]] = Placement(
                placement.start,
                placement.ready,
                placement.end,
                placement.person,
                None if placement.previous is None else new_of[placement.previous],
                new_of[placement.leader],
            )
    return tuple(dealt)


def _ready(placements: Placements, task: int) -> tuple[bool, int, int]:
    placement = placements[task]
    return placement is None, 0 if placement is None else placement.ready, task
