"""A timetable with what it leaves out and what it is worth: the state of every search."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from floorboard.planning.network import Goal
from floorboard.planning.tiers import lateness

if TYPE_CHECKING:
    from collections.abc import Iterable

    from floorboard.planning.timetable import Timetable


@dataclass(frozen=True, slots=True)
class Board:
    """A timetable, the clusters it leaves out, and its objective."""

    table: Timetable
    left_out: frozenset[int]
    objective: tuple[int, ...]

    def present(self) -> list[int]:
        """Return the clusters that are not left out."""
        count = len(self.table.layout.clusters)
        return [index for index in range(count) if index not in self.left_out]

    def alike(self, index: int) -> int | None:
        """Return what a cluster is interchangeable with (`Group.alike`)."""
        layout = self.table.layout
        group = layout.clusters[index].group
        return None if group is None else layout.problem.groups[group].alike


def board_of(table: Timetable, left_out: Iterable[int]) -> Board:
    """Return a timetable with its objective worked out."""
    return Board(table, frozenset(left_out), objective_of_table(table))


def objective_of_table(table: Timetable) -> tuple[int, ...]:
    """Return the objective of a timetable, as `tiers.objective_of` does of placements."""
    problem, placed = table.layout.problem, table.placed
    if problem.goal is Goal.MAKESPAN:
        return (max((entry[2] for entry in placed if entry is not None), default=0),)
    lost = late = left_out = finishes = 0
    for group in problem.groups:
        ends = [entry[2] for task in group.tasks if (entry := placed[task]) is not None]
        finish = max(ends) if len(ends) == len(group.tasks) else None
        late += lateness(problem, group, finish)
        if finish is not None:
            finishes += finish
        elif group.in_hand:
            lost += group.worth
        else:
            left_out += group.worth
    moved = 0
    for followed in problem.reference:
        now = placed[followed.task]
        if (
            now is None
            or abs(now[0] - followed.start) > problem.reference_slack
            or (followed.person is not None and now[3] != followed.person)
        ):
            moved += 1
    return lost, late, left_out, finishes, moved
