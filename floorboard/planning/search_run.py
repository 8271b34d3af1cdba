"""One search: ruin and recreate first, then the exact engine on the whole or on parts of it."""

from __future__ import annotations

import random
import time
from typing import TYPE_CHECKING

from floorboard.planning.alike import sorted_out
from floorboard.planning.board import Board, board_of
from floorboard.planning.insertion import complete, facts_of, urgency
from floorboard.planning.neighbourhoods import draw_freed, draw_offered
from floorboard.planning.network import Goal
from floorboard.planning.replay import board_of_plan, follow
from floorboard.planning.ruin import improve_board
from floorboard.planning.solution import Limits, Solution, Status
from floorboard.planning.taste import Taste
from floorboard.planning.tiers import gap_of, objective_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from floorboard.planning.cpsat.engine import Budget, Outcome
    from floorboard.planning.layout import Layout
    from floorboard.planning.network import Problem
    from floorboard.planning.solution import Conflict, Placements

COARSE_SHARE = 0.9
"""Share of the time for ruin and recreate, when there is anything to recreate."""

COARSE_SHARE_SMALL = 0.3
"""The same where the network is small: there the exact engine finds what inserting cannot."""

SMALL_TASKS = 120
"""Tasks up to which a network is small."""

TRIES_PER_TICK = 600
"""Tries of ruin and recreate that stand for one tick of deterministic time."""

MOST_PAIRS = 12_000
"""Pairs of tasks that might share a batch up to which the whole is given to the exact engine."""

MOST_TASKS = 600
"""Tasks up to which the whole is given to the exact engine."""

TASKS_PER_SECOND = 150
"""Tasks for every second of the search up to which a quick bound is worth its time."""

PREPARED_TASKS_PER_SECOND = 20
"""Tasks for every second of the search up to which the engine's long preparations are worth their time."""

LOOK_SECONDS = 0.4
"""Wall time of one exact look at a part."""

LOOK_TICKS = 0.05
"""Deterministic time of one exact look at a part."""


def fits_whole(problem: Problem) -> bool:
    """Return whether a network is small enough to be given to the exact engine as a whole."""
    counts = [0] * len(problem.families)
    for task in problem.tasks:
        if task.family is not None:
            counts[task.family] += 1
    pairs = sum(count * count for count in counts)
    return pairs <= MOST_PAIRS and len(problem.tasks) <= MOST_TASKS


class SearchRun:
    """A search under way: what is best so far, what is proved, and how much time is left."""

    def __init__(
        self,
        layout: Layout,
        start: Solution,
        limits: Limits,
        on_better: Callable[[Solution], None] | None,
        stop: Callable[[], bool] | None,
    ) -> None:
        self.layout = layout
        self.facts = facts_of(layout)
        self.limits = limits
        self.on_better = on_better
        self.stop = stop
        # What the search may take, in seconds or in ticks that stand for as much work.
        self.effort = limits.seconds if limits.deterministic is None else limits.deterministic
        self.rng = random.Random(limits.seed)
        self.begin = time.monotonic()
        self.best: Placements | None = None
        self.objective: tuple[int, ...] = ()
        self.engine = start.engine
        self.bound: tuple[int, ...] = ()
        self.ticks = 0.0
        if start.found:
            self.best, self.objective = start.placements, start.objective

    def run(self) -> Solution:
        """Search until the limits are reached, and return the best."""
        status = Status.UNKNOWN
        choices = self.layout.problem.goal is Goal.TIERS and len(self.layout.clusters) > 1
        if self.best is not None and choices:
            # Following instead of taking over: what was left out may find a place now.
            table, left_out = follow(self.facts, urgency(self.facts), self.best, Taste())
            if complete(self.layout, left_out):
                board = board_of(table, left_out)
                self._adopt(table.placements(), "insertion")
                self._coarse(board)
        if not self._stopped():
            self._quick_bound()
            if fits_whole(self.layout.problem):
                status = self._whole()
            elif self.best is not None:
                self._looks()
        return self._solution(status)

    def _coarse(self, board: Board) -> None:
        """Ruin and recreate for a share of the time, or for a number of tries."""
        tries = 0
        ticks, share = self.limits.deterministic, self._coarse_share()
        most = None if ticks is None else max(1, int(share * ticks * TRIES_PER_TICK))
        seconds = share * self.limits.seconds

        def progress() -> float:
            nonlocal tries
            tries += 1
            if self._stopped():
                return 1.0
            by_time = self._passed() / seconds
            return by_time if most is None else max(tries / most, float(by_time >= 1))

        def told(better: Board) -> None:
            self._adopt(better.table.placements(), "ruin and recreate")

        improve_board(board, self.facts, self.rng, progress, told)
        if ticks is not None:
            self.ticks += share * ticks

    def _coarse_share(self) -> float:
        problem = self.layout.problem
        small = len(problem.tasks) <= SMALL_TASKS and fits_whole(problem)
        return COARSE_SHARE_SMALL if small else COARSE_SHARE

    def _whole(self) -> Status:
        """Give the whole to the exact engine for the time that is left."""
        from floorboard.planning.cpsat.engine import Budget

        problem = self.layout.problem
        short = len(problem.tasks) > PREPARED_TASKS_PER_SECOND * self.effort
        budget = Budget(
            seconds=max(0.05, self.limits.seconds - self._passed()),
            deterministic=self._ticks_left(),
            seed=self.limits.seed,
            workers=self.limits.workers,
            prepare=problem.goal is Goal.MAKESPAN or not short,
        )
        outcome = self._exact(tuple(range(len(self.layout.clusters))), None, budget)
        self.bound = max(self.bound, outcome.bound)
        return outcome.status

    def _quick_bound(self) -> None:
        """Prove what can be proved in a moment, where the model is small for the time there is."""
        from floorboard.planning.cpsat.bound import quick_bound
        from floorboard.planning.cpsat.engine import Budget
        from floorboard.planning.cpsat.scene import scene_of

        problem = self.layout.problem
        if problem.goal is Goal.MAKESPAN:
            return
        if len(problem.tasks) <= TASKS_PER_SECOND * self.effort:
            everything = tuple(range(len(self.layout.clusters)))
            ticks = self.limits.deterministic
            budget = Budget(
                seconds=(0.1 if ticks is None else 1.0) * self.limits.seconds,
                deterministic=None if ticks is None else 0.1 * ticks,
                seed=self.limits.seed,
            )
            self.bound = quick_bound(scene_of(self.facts, everything), budget)

    def _looks(self) -> None:
        """Give part after part to the exact engine while time is left."""
        from floorboard.planning.cpsat.engine import Budget

        size, looked_at, board = 1, None, None
        while not self._stopped() and self._passed() < self.limits.seconds:
            left = self._ticks_left()
            if left is not None and left <= 0:
                return
            if board is None or looked_at is not self.best:
                self._sort()
                looked_at = self.best
                board = board_of_plan(self.facts, looked_at or ())
            freed = draw_freed(board, self.rng, size) | set(draw_offered(board, self.rng, 1))
            seconds = max(0.02, self.limits.seconds - self._passed())
            if left is None:
                seconds = min(LOOK_SECONDS, seconds)
            ticks = LOOK_TICKS if left is None else min(LOOK_TICKS, left)
            seed = self.rng.randrange(1 << 30)
            budget = Budget(seconds, ticks, seed, self.limits.workers, prove=False, prepare=False)
            outcome = self._exact(tuple(sorted(freed)), board, budget)
            # A look that is settled early may be larger next time, one that is not, smaller.
            size = min(8, size + 1) if outcome.status is Status.OPTIMAL else max(1, size - 1)

    def _exact(self, free: tuple[int, ...], board: Board | None, budget: Budget) -> Outcome:
        from floorboard.planning.cpsat.engine import solve_scene
        from floorboard.planning.cpsat.scene import scene_of

        if board is None:
            self._sort()
        scene = scene_of(self.facts, free, None if board is None else board.table)
        outcome = solve_scene(
            scene,
            self.best,
            budget,
            None if self.on_better is None else lambda better: self._adopt(better, "exact"),
            self.stop,
            self.bound if board is None else (),
        )
        self.ticks += outcome.work
        if outcome.placements is not None:
            self._adopt(outcome.placements, "exact")
        return outcome

    def _sort(self) -> None:
        """Deal the best out to interchangeable groups in order, as the exact model has them."""
        if self.best is not None:
            self.best = sorted_out(self.layout, self.best)
            self.objective = objective_of(self.layout.problem, self.best)

    def _adopt(self, placements: Placements, engine: str) -> None:
        """Make a schedule the best when it is, and say so."""
        objective = objective_of(self.layout.problem, placements)
        if self.best is not None and objective >= self.objective:
            return
        self.best, self.objective, self.engine = placements, objective, engine
        if self.on_better is not None:
            self.on_better(self._solution(Status.UNKNOWN))

    def _solution(self, status: Status) -> Solution:
        """Return the best so far; what the last exact solve proved decides its status."""
        conflicts: tuple[Conflict, ...] = ()
        if self.best is not None:
            proved = status is Status.OPTIMAL and self.bound >= self.objective
            status = Status.OPTIMAL if proved else Status.FEASIBLE
        elif status is Status.INFEASIBLE:
            conflicts = self._conflicts()
        return Solution(
            placements=self.best or (),
            objective=self.objective,
            status=status,
            engine=self.engine,
            bound=self.bound,
            gap=gap_of(self.layout.problem, self.objective, self.bound) if self.best else None,
            runtime_seconds=self._passed(),
            seed=self.limits.seed,
            conflicts=conflicts,
        )

    def _conflicts(self) -> tuple[Conflict, ...]:
        from floorboard.planning.cpsat.explain import cheapest_overrun

        return cheapest_overrun(self.layout.problem, self.limits)

    def _stopped(self) -> bool:
        return self.stop is not None and self.stop()

    def _passed(self) -> float:
        return time.monotonic() - self.begin

    def _ticks_left(self) -> float | None:
        ticks = self.limits.deterministic
        return None if ticks is None else max(0.0, ticks - self.ticks)
