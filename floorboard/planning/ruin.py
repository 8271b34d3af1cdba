"""Improve a timetable by taking some clusters out and inserting them again, differently.

Cheap enough for hundreds of tries a second, so it does the coarse work before the exact engine
looks closer. A try is kept when what matters is no worse and its finishes are no later than the
present ones by more than a margin that is drawn anew each time; the best is remembered.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from floorboard.planning.insert_cluster import Taste, insert
from floorboard.planning.insertion import lose
from floorboard.planning.layout import mandatory
from floorboard.planning.network import Goal
from floorboard.planning.tiers import lateness

if TYPE_CHECKING:
    import random
    from collections.abc import Callable, Iterable

    from floorboard.planning.layout import Cluster, Layout
    from floorboard.planning.timetable import Timetable

PATIENCE = (0, 3, 6, 12, 25, 50)
"""Steps a task may wait for a batch to ride on, one drawn for each try."""

MOST_NEW = 4
"""Clusters left out that are tried anew in one try, besides those taken out."""


@dataclass(frozen=True, slots=True)
class Board:
    """A timetable, the clusters it leaves out, and its objective."""

    table: Timetable
    left_out: frozenset[int]
    objective: tuple[int, ...]


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


def improve_board(
    board: Board,
    facts: Timetable,
    rng: random.Random,
    go_on: Callable[[], bool],
    on_better: Callable[[Board], None] | None = None,
) -> Board:
    """Ruin and recreate while `go_on()` says so; return the best board met.

    Parameters
    ----------
    facts
        The timetable with only the work in hand, to start again what was given up.
    go_on
        Asked before every try.
    on_better
        Told of every board better than all before.
    """
    best = present = board
    if len(board.table.layout.clusters) < 2:
        return best
    while go_on():
        tried = _try(present, facts, rng)
        if tried is None:
            continue
        if tried.objective < best.objective:
            best = present = tried
            if on_better is not None:
                on_better(best)
        elif _acceptable(tried, present, rng):
            present = tried
    return best


def _acceptable(tried: Board, present: Board, rng: random.Random) -> bool:
    """Return whether a try may replace the present board."""
    if len(tried.objective) < 4:
        return tried.objective <= present.objective
    if tried.objective[:3] != present.objective[:3]:
        return tried.objective < present.objective
    margin = 0.004 * rng.random() ** 2 * present.objective[3]
    return tried.objective[3] <= present.objective[3] + margin


def _try(board: Board, facts: Timetable, rng: random.Random) -> Board | None:
    """Return a board with some clusters placed anew, None when a mandatory one finds no place."""
    table = board.table.copy()
    layout = table.layout
    out = with_riders(table, choose_clusters(board, rng))
    take_out(table, out)
    left_out = set(board.left_out)
    taste = Taste(rng.choice(PATIENCE))
    failed: set[int] = set()
    for index in _again(board, out, rng):
        cluster = layout.clusters[index]
        alike = None if cluster.group is None else layout.problem.groups[cluster.group].alike
        if index in left_out:
            _find_again(table, cluster, facts)
        placed = insert(table, cluster, taste) if alike is None or alike not in failed else None
        if placed is not None:
            table = placed
            left_out.discard(index)
            continue
        if mandatory(layout.problem, cluster.group):
            return None
        if alike is not None:
            failed.add(alike)
        left_out.add(index)
        lose(table, layout, index)
    return board_of(table, left_out)


def _find_again(table: Timetable, cluster: Cluster, facts: Timetable) -> None:
    for task in cluster.tasks:
        table.restore(task, facts)
    for hold in cluster.holds:
        table.drop_lost(hold)


def take_out(table: Timetable, clusters: Iterable[int]) -> None:
    """Take placed clusters, with all that rides on their batches, out; their facts stay."""
    tasks = table.layout.problem.tasks
    starts = []
    for index in clusters:
        cluster = table.layout.clusters[index]
        for hold in cluster.holds:
            table.let_go(hold)
        for task in cluster.tasks:
            placed = table.placed[task]
            if placed is not None and tasks[task].fixed_start is None:
                starts.append((placed[0], task))
    for _, task in sorted(starts, reverse=True):
        table.take_out(task)


def with_riders(table: Timetable, chosen: set[int]) -> set[int]:
    """Return the chosen clusters with all that ride on their batches."""
    home = table.layout.home
    rides = [
        (home[entry[4]], home[task])
        for task, entry in enumerate(table.placed)
        if entry is not None and entry[4] is not None
    ]
    grown = True
    while grown:
        grown = False
        for before, rider in rides:
            if before in chosen and rider not in chosen:
                chosen.add(rider)
                grown = True
    return chosen


def choose_clusters(board: Board, rng: random.Random) -> set[int]:
    """Draw the clusters to take out: some at random, of one person, or of one time."""
    table = board.table
    present = [index for index in range(len(table.layout.clusters)) if index not in board.left_out]
    if not present:
        return set()
    count = min(len(present), rng.randint(1, 6))
    move = rng.random()
    if move < 0.4:
        return set(rng.sample(present, count))
    home = table.layout.home
    pivot = rng.choice(present)
    tasks = table.layout.clusters[pivot].tasks
    centre = table.placed[rng.choice(tasks)]
    assert centre is not None
    near = [
        (abs(entry[0] - centre[0]), home[task])
        for task, entry in enumerate(table.placed)
        if entry is not None and (move < 0.7 or entry[3] == centre[3])
    ]
    near.sort()
    chosen = {pivot}
    for _, index in near:
        if len(chosen) >= count:
            break
        chosen.add(index)
    return chosen


def _again(board: Board, out: set[int], rng: random.Random) -> list[int]:
    """Return the clusters to insert, in order: what is urgent, then in a drawn order."""
    layout = board.table.layout
    groups = layout.problem.groups
    seen: set[int] = set()
    fresh = []
    waiting = sorted(board.left_out)
    rng.shuffle(waiting)
    for index in waiting:
        group = layout.clusters[index].group
        alike = None if group is None else groups[group].alike
        if alike is None or alike not in seen:
            fresh.append(index)
            if alike is not None:
                seen.add(alike)
        if len(fresh) >= MOST_NEW:
            break
    again = sorted(out) + fresh
    rng.shuffle(again)
    if rng.random() < 0.5:
        again.sort(key=lambda index: index in board.left_out)
    return sorted(again, key=lambda index: _tier(layout, index))


def _tier(layout: Layout, index: int) -> int:
    group = layout.clusters[index].group
    if mandatory(layout.problem, group):
        return 0
    assert group is not None
    entry = layout.problem.groups[group]
    if entry.in_hand:
        return 1
    return 2 if entry.due is not None and entry.late_weight else 3
