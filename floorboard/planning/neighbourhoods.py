"""Which clusters to free for another look: a stretch of time, some groups, one person's work.

What rides on the batches of a freed cluster is freed with it, and some of the clusters that are
left out are offered a place.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import random
    from collections.abc import Callable

    from floorboard.planning.board import Board
    from floorboard.planning.timetable import Placed, Timetable

    Move = Callable[[Board, random.Random, int], set[int]]


def free_a_time(board: Board, rng: random.Random, size: int) -> set[int]:
    """Free the clusters at work around one moment."""

    def distance(entry: Placed, centre: Placed) -> int:
        return abs(entry[0] - centre[0])

    return _nearest(board, rng, size, distance)


def free_groups(board: Board, rng: random.Random, size: int) -> set[int]:
    """Free some clusters drawn at random."""
    present = board.present()
    return set(rng.sample(present, min(size, len(present))))


def free_a_person(board: Board, rng: random.Random, size: int) -> set[int]:
    """Free the clusters one person works on around one moment."""
    far = board.table.layout.problem.horizon

    def distance(entry: Placed, centre: Placed) -> int:
        return abs(entry[0] - centre[0]) + (0 if entry[3] == centre[3] else far)

    return _nearest(board, rng, size, distance)


MOVES: tuple[tuple[Move, float], ...] = (
    (free_groups, 0.4),
    (free_a_time, 0.3),
    (free_a_person, 0.3),
)
"""Every move with its share of the draws."""


def draw_freed(board: Board, rng: random.Random, size: int) -> set[int]:
    """Return about `size` clusters of the schedule to free, with what rides on them."""
    return with_riders(board.table, draw_near(board, rng, size))


def draw_near(board: Board, rng: random.Random, size: int) -> set[int]:
    """Return about `size` clusters of the schedule by one of the moves."""
    moves = [move for move, _ in MOVES]
    (move,) = rng.choices(moves, [share for _, share in MOVES])
    return move(board, rng, size)


def draw_offered(board: Board, rng: random.Random, count: int) -> list[int]:
    """Return at most `count` of the clusters left out to be offered a place.

    What is in hand comes first; of interchangeable clusters only the first that is left out.
    """
    layout = board.table.layout
    first: dict[object, int] = {}
    for index in sorted(board.left_out):
        alike = board.alike(index)
        first.setdefault(("alone", index) if alike is None else alike, index)
    waiting = list(first.values())
    rng.shuffle(waiting)

    def in_hand(index: int) -> bool:
        group = layout.clusters[index].group
        return group is not None and layout.problem.groups[group].in_hand

    return sorted(waiting, key=in_hand, reverse=True)[:count]


def with_riders(table: Timetable, chosen: set[int], *, stuck: bool = False) -> set[int]:
    """Return the chosen clusters with all that ride on their batches.

    Parameters
    ----------
    stuck
        Only with what cannot have a batch of its own instead (`Timetable.could_lead`).
    """
    home = table.layout.home
    rides = [
        (home[entry[4]], home[task])
        for task, entry in enumerate(table.placed)
        if entry is not None and entry[4] is not None and not (stuck and table.could_lead(task))
    ]
    grown = True
    while grown:
        grown = False
        for before, rider in rides:
            if before in chosen and rider not in chosen:
                chosen.add(rider)
                grown = True
    return chosen


def _nearest(
    board: Board, rng: random.Random, size: int, distance: Callable[[Placed, Placed], int]
) -> set[int]:
    """Return the clusters with the tasks nearest to one drawn task."""
    table, present = board.table, board.present()
    if not present:
        return set()
    home = table.layout.home
    centre = table.placed[rng.choice(table.layout.clusters[rng.choice(present)].tasks)]
    assert centre is not None
    near = sorted(
        (distance(entry, centre), home[task])
        for task, entry in enumerate(table.placed)
        if entry is not None
    )
    chosen: set[int] = set()
    for _, index in near:
        if len(chosen) >= size:
            break
        chosen.add(index)
    return chosen
