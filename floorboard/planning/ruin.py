"""Improve a timetable by taking some clusters out and inserting them again, differently.

Cheap enough for hundreds of tries a second, so it does the coarse work before the exact engine
looks closer. A try is kept when what matters is no worse and its finishes are not too much later
than the present ones (simulated annealing); the best is remembered.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from floorboard.planning.board import Board, board_of
from floorboard.planning.clusters import mandatory
from floorboard.planning.insertion import placed_anew
from floorboard.planning.neighbourhoods import draw_near, draw_offered, with_riders
from floorboard.planning.taste import Taste

if TYPE_CHECKING:
    import random
    from collections.abc import Callable, Collection

    from floorboard.planning.layout import Layout
    from floorboard.planning.timetable import Timetable

PATIENCE = (0, 3, 6, 12, 25, 50)
"""Steps a task may wait for a batch to ride on, one drawn for each try."""

DELAY = 60
"""Most steps a task is put later than need be, now and then."""

SHARES = (0.0, 0.0, 0.1, 0.25)
"""Shares of the tasks that are put later, one drawn for each try."""

WARMTH = 0.12
"""Share of the sum of finishes that a try may be worse by, to begin with."""

COLD = 0.1
"""Share of the time at the beginning in which nothing worse is kept: a better plan comes soon."""

OUT = (1, 2, 2, 3, 3, 4)
"""Clusters drawn to be taken out, one number drawn for each try; of few most come back."""

MOST_NEW = 8
"""Clusters left out that are tried anew in one try, besides those taken out."""


def improve_board(
    board: Board,
    facts: Timetable,
    rng: random.Random,
    progress: Callable[[], float],
    on_better: Callable[[Board], None] | None = None,
) -> Board:
    """Ruin and recreate until the progress is 1; return the best board met.

    Parameters
    ----------
    facts
        The timetable with only the work in hand, to start again what was given up.
    progress
        Asked before every try: 0 at the beginning, 1 when it is time to end. After a cold start,
        how much worse a try may be and still be kept shrinks with it.
    on_better
        Told of every board better than all before.
    """
    best = present = board
    if len(board.table.layout.clusters) < 2:
        return best
    while (done := progress()) < 1:
        tried = _try(present, facts, rng)
        if tried is None:
            continue
        if tried.objective < best.objective:
            best = present = tried
            if on_better is not None:
                on_better(best)
        elif _acceptable(tried, present, rng, WARMTH * (1 - done) if done > COLD else 0):
            present = tried
    return best


def _acceptable(tried: Board, present: Board, rng: random.Random, warmth: float) -> bool:
    """Return whether a try may replace the present board (annealing on the finishes).

    What is lost, late or left out must be no more; later finishes pass by chance, the less
    likely the later they are.
    """
    if len(tried.objective) < 4:
        return tried.objective <= present.objective
    if tried.objective[:3] != present.objective[:3]:
        return tried.objective < present.objective
    later = tried.objective[3] - present.objective[3]
    bearable = warmth * present.objective[3]
    return later <= 0 or (bearable > 0 and rng.random() < math.exp(-later / bearable))


def _try(board: Board, facts: Timetable, rng: random.Random) -> Board | None:
    """Return a board with some clusters placed anew, None when it could not be kept."""
    table = board.table.copy()
    near = draw_near(board, rng, rng.choice(OUT))
    out = with_riders(table, near, stuck=True)
    take_out(table, out)
    taste = Taste(rng.choice(PATIENCE), DELAY, rng.choice(SHARES), rng)
    return _recreated(board, table, facts, _again(board, out, rng), taste)


def _recreated(
    board: Board, table: Timetable, facts: Timetable, again: list[int], taste: Taste
) -> Board | None:
    """Place clusters into a ruined table; None when a mandatory one, or too many, find no place."""
    layout, left_out = table.layout, set(board.left_out)
    spare = _spare(board, again)
    failed: set[int] = set()
    for index in again:
        cluster = layout.clusters[index]
        alike = board.alike(index)
        placed = None
        if alike is None or alike not in failed:
            placed = placed_anew(table, facts, cluster, taste)
        if placed is not None:
            table = placed
            left_out.discard(index)
            continue
        if mandatory(layout.problem, cluster.group):
            return None
        if alike is not None:
            failed.add(alike)
        left_out.add(index)
        spare -= _worth(layout, index)
        if spare < 0:
            return None
    return board_of(table, left_out)


def _spare(board: Board, again: list[int]) -> float:
    """Return how much of the worth tried again may find no place; more, and the try is no good.

    Endless where something in hand is lost or an order is late: that may weigh more.
    """
    if len(board.objective) < 3 or board.objective[:2] != (0, 0):
        return math.inf
    layout, tried = board.table.layout, set(again)
    return board.objective[2] - sum(_worth(layout, i) for i in board.left_out if i not in tried)


def _worth(layout: Layout, index: int) -> int:
    group = layout.clusters[index].group
    return 0 if group is None else layout.problem.groups[group].worth


def take_out(table: Timetable, clusters: Collection[int]) -> None:
    """Take placed clusters out and count them as absent.

    What rides on their batches, and stays, leads a batch of its own (`Timetable.could_lead`).
    """
    tasks = table.layout.problem.tasks
    rider = {entry[4]: task for task, entry in enumerate(table.placed) if entry is not None}
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
        behind = rider.get(task)
        stays = behind is not None and table.placed[behind] is not None
        table.take_out(task, behind if stays else None)
    for index in clusters:
        table.lose(table.layout.clusters[index])


def _again(board: Board, out: set[int], rng: random.Random) -> list[int]:
    """Return the clusters to insert, in order: what is urgent, then in a drawn order."""
    again = sorted(out) + draw_offered(board, rng, MOST_NEW)
    rng.shuffle(again)
    if rng.random() < 0.5:
        again.sort(key=lambda index: index in board.left_out)
    return sorted(again, key=lambda index: _tier(board.table.layout, index))


def _tier(layout: Layout, index: int) -> int:
    group = layout.clusters[index].group
    if mandatory(layout.problem, group):
        return 0
    assert group is not None
    entry = layout.problem.groups[group]
    if entry.in_hand:
        return 1
    return 2 if entry.due is not None and entry.late_weight else 3
