"""Plan a network: an answer at once, a better one while nobody waits.

`first_plan` answers in milliseconds, `improve` betters an answer until its time is up, it is told
to stop, or nothing better can exist; `solve` is the one after the other.
"""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

from floorboard.planning.board import board_of
from floorboard.planning.clusters import mandatory
from floorboard.planning.contradictions import contradictions
from floorboard.planning.insertion import complete, facts_of, saved_first, urgency
from floorboard.planning.layout import Layout
from floorboard.planning.network import Goal
from floorboard.planning.replay import follow
from floorboard.planning.search_run import SearchRun, fits_whole
from floorboard.planning.solution import Limits, Solution, Status
from floorboard.planning.taste import Taste

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
        seconds = time.monotonic() - begin
        return Solution((), (), Status.UNKNOWN, "insertion", runtime_seconds=seconds)
    board = board_of(table, left_out)
    return Solution(
        placements=table.placements(),
        objective=board.objective,
        status=Status.FEASIBLE,
        engine="insertion",
        runtime_seconds=time.monotonic() - begin,
    )


def solve(
    problem: Problem,
    limits: Limits | None = None,
    on_better: OnBetter | None = None,
    stop: Stop | None = None,
) -> Solution:
    """Return the best schedule found within the limits."""
    if problem.goal is Goal.MAKESPAN and on_better is None and fits_whole(problem):
        # The engine's own search is quicker than one from a first answer, so if nobody waits for
        # that, it is only made where the engine finds none.
        unknown = Solution((), (), Status.UNKNOWN, "none")
        found = improve(problem, unknown, limits, None, stop)
        return first_plan(problem) if found.status is Status.UNKNOWN else found
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
    start
        Any schedule of the problem, or an UNKNOWN solution to begin from nothing.
    on_better
        Told of every schedule better than all before, as it is found.
    stop
        Asked often; the search ends soon after it first says True.

    Returns
    -------
    Solution
        With `conflicts` when it is proved that there is none: which tasks and waits.
    """
    layout = Layout(problem)
    if not start.found:
        required = {
            task
            for cluster in layout.clusters
            if mandatory(problem, cluster.group)
            for task in cluster.tasks
        }
        conflicts = tuple(c for c in contradictions(layout) if required & set(c.tasks))
        if conflicts:
            return Solution((), (), Status.INFEASIBLE, "waits", conflicts=conflicts)
    return SearchRun(layout, start, limits or Limits(), on_better, stop).run()
