"""The fast heuristic: whole groups placed one after another, each at its earliest.

First what is in hand, nearest window first, then by due date and worth. Interchangeable groups
are tried until the first of them finds no place. When something in hand finds no place it is
moved to the front and the whole is tried again.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.planning.clusters import Cluster, mandatory
from floorboard.planning.insert_cluster import closing, insert
from floorboard.planning.timetable import Timetable

if TYPE_CHECKING:
    from collections.abc import Sequence

    from floorboard.planning.layout import Layout
    from floorboard.planning.taste import Taste


MOST_RESTARTS = 6
"""How often the order is changed for the sake of something in hand that found no place."""


def facts_of(layout: Layout) -> Timetable:
    """Return a timetable with only the work in hand placed, leaders before followers."""
    table = Timetable(layout)
    tasks = layout.problem.tasks
    waiting = [index for index, task in enumerate(tasks) if task.fixed_start is not None]
    waiting.sort(
        key=lambda index: (tasks[index].fixed_start or 0, tasks[index].follows is not None)
    )
    for index in waiting:
        task = tasks[index]
        assert task.fixed_start is not None
        setup = 0 if task.follows is not None else task.setup
        table.place(index, task.fixed_start + setup, task.fixed_person, task.follows)
    return table


def urgency(facts: Timetable) -> list[int]:
    """Return the clusters in the order of placing."""
    layout = facts.layout
    groups = layout.problem.groups

    def key(index: int) -> tuple[int, int, int, int]:
        cluster = layout.clusters[index]
        if cluster.group is None:
            return 0, closing(facts, cluster), 0, index
        group = groups[cluster.group]
        if group.in_hand or mandatory(layout.problem, cluster.group):
            return 1, closing(facts, cluster), -group.worth, index
        due = layout.problem.horizon if group.due is None else group.due
        return 2, due, -group.worth, index

    return sorted(range(len(layout.clusters)), key=key)


def blank_of(facts: Timetable) -> Timetable:
    """Return a copy of the facts in which every cluster still has to be placed."""
    table = facts.copy()
    for cluster in facts.layout.clusters:
        table.lose(cluster)
    return table


def extend(
    table: Timetable, facts: Timetable, order: Sequence[int], taste: Taste
) -> tuple[Timetable, list[int]]:
    """Place more clusters into a timetable; return it and those left out."""
    layout, left_out = table.layout, []
    full: set[int] = set()
    groups = layout.problem.groups
    for index in order:
        cluster = layout.clusters[index]
        alike = None if cluster.group is None else groups[cluster.group].alike
        if alike is None or alike not in full:
            placed = placed_anew(table, facts, cluster, taste)
            if placed is not None:
                table = placed
                continue
            if alike is not None:
                full.add(alike)
        left_out.append(index)
    return table, left_out


def placed_anew(
    table: Timetable, facts: Timetable, cluster: Cluster, taste: Taste
) -> Timetable | None:
    """Return a timetable with an absent cluster in it; None, and all as it was, if impossible."""
    table.find(cluster, facts)
    placed = insert(table, cluster, taste)
    if placed is None:
        table.lose(cluster)
    return placed


def saved_first(facts: Timetable, order: list[int], taste: Taste) -> tuple[Timetable, list[int]]:
    """Place all, moving to the front what must be there and found no place."""
    layout = facts.layout
    best: tuple[Timetable, list[int]] | None = None
    best_loss = 0
    for _ in range(MOST_RESTARTS):
        table, left_out = extend(blank_of(facts), facts, order, taste)
        lost = [index for index in left_out if _weight(layout, index)]
        loss = loss_of(layout, lost)
        if best is None or loss < best_loss:
            best, best_loss = (table, left_out), loss
        moved = lost + [index for index in order if index not in lost]
        if moved == order:
            break
        order = moved
    assert best is not None
    return best


def complete(layout: Layout, left_out: Sequence[int]) -> bool:
    """Return whether nothing mandatory is left out."""
    return not any(mandatory(layout.problem, layout.clusters[index].group) for index in left_out)


def loss_of(layout: Layout, left_out: Sequence[int]) -> int:
    """Return how much is lost of what must be there; 0 when nothing is."""
    return sum(_weight(layout, index) for index in left_out)


def _weight(layout: Layout, index: int) -> int:
    group = layout.clusters[index].group
    if group is None or mandatory(layout.problem, group):
        return 1_000_000
    entry = layout.problem.groups[group]
    return 1 + entry.worth if entry.in_hand else 0
