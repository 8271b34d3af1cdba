"""Plan a network: an answer at once, a better one while nobody waits.

`first_plan` answers in milliseconds, `improve` betters an answer until its time is up, it is told
to stop, or nothing better can exist; `solve` is the one after the other.
"""

from __future__ import annotations

import random
import time
from typing import TYPE_CHECKING

from floorboard.planning.board import Board, board_of
from floorboard.planning.insert_cluster import Taste
from floorboard.planning.insertion import complete, facts_of, saved_first, urgency
from floorboard.planning.layout import Layout
from floorboard.planning.replay import follow
from floorboard.planning.ruin import improve_board
from floorboard.planning.solution import Limits, Solution, Status

if TYPE_CHECKING:
    from collections.abc import Callable

    from floorboard.planning.network import Problem
    from floorboard.planning.solution import Placements

    OnBetter = Callable[[Solution], None]
    Stop = Callable[[], bool]


def first_plan(problem: Problem, followed: Placements | None = None) -> Solution:
    """Return a schedule at once.

    Parameters
    ----------
    followed
        The plan people are following, one placement per task of this problem (None where it has
        none): what of it still fits is kept as it is.

    Returns
    -------
    Solution
        FEASIBLE, or UNKNOWN when something mandatory found no place.
    """
    begin = time.monotonic()
    layout = Layout(problem)
    facts = facts_of(layout)
    order = urgency(facts)
    if followed is None:
        table, left_out = saved_first(facts, order, Taste())
    else:
        table, left_out = follow(facts, order, followed, Taste())
    if not complete(layout, left_out):
        return Solution((), (), Status.UNKNOWN, "insertion", runtime_seconds=_since(begin))
    return _solution(board_of(table, left_out), "insertion", begin, 0)


def solve(
    problem: Problem,
    limits: Limits | None = None,
    on_better: OnBetter | None = None,
    stop: Stop | None = None,
) -> Solution:
    """Return the best schedule found within the limits."""
    first = first_plan(problem)
    if on_better is not None and first.found:
        on_better(first)
    return improve(problem, first, limits, on_better, stop)


def improve(
    problem: Problem,
    start: Solution,
    limits: Limits | None = None,
    on_better: OnBetter | None = None,
    stop: Stop | None = None,
) -> Solution:
    """Return the best schedule found within the limits, `start` or better.

    Parameters
    ----------
    on_better
        Told of every schedule better than all before, as it is found.
    stop
        Asked often; the search ends soon after it first says True.
    """
    limits = limits or Limits()
    begin = time.monotonic()
    layout = Layout(problem)
    facts = facts_of(layout)
    table, left_out = follow(facts, urgency(facts), start.placements, Taste())

    def progress() -> float:
        return 1.0 if stop is not None and stop() else _since(begin) / limits.seconds

    def told(board: Board) -> None:
        if on_better is not None:
            on_better(_solution(board, "insertion", begin, limits.seed))

    board = board_of(table, left_out)
    best = improve_board(board, facts, random.Random(limits.seed), progress, told)
    return _solution(best, "insertion", begin, limits.seed)


def _solution(board: Board, engine: str, begin: float, seed: int) -> Solution:
    return Solution(
        placements=board.table.placements(),
        objective=board.objective,
        status=Status.FEASIBLE,
        engine=engine,
        runtime_seconds=_since(begin),
        seed=seed,
    )


def _since(begin: float) -> float:
    return time.monotonic() - begin
