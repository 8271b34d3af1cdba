"""A network read once into what the insertion asks about its tasks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.planning.clusters import clusters_of, own_setup
from floorboard.planning.network import Anchor, Moment
from floorboard.planning.steps import window

if TYPE_CHECKING:
    from floorboard.planning.network import Hold, Problem, Task

Key = tuple[int, int, int, int]
"""What batches ask of a task: `(weight, duration, setup, dry_setup)`."""


class Layout:
    """What the insertion asks about the tasks of a problem, precomputed.

    `lead_window` and `join_window` hold, as sets of steps, the READY moments a task may have
    with its own set-up and riding on a batch; `home` holds the cluster of every task,
    `precedable` whether it may become a rider on a batch that another is made to lead, and
    `start_holds` the holds such a change would alter.
    """

    __slots__ = (
        "clusters",
        "everything",
        "family_keys",
        "home",
        "join_window",
        "key",
        "lead_window",
        "precedable",
        "problem",
        "start_holds",
    )

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.everything = window(0, problem.horizon)
        self.family_keys: list[list[Key]] = [[] for _ in problem.families]
        self.key = [self._key(task) for task in problem.tasks]
        windows = [self._windows(index) for index in range(len(problem.tasks))]
        self.lead_window = [lead for lead, _ in windows]
        self.join_window = [join for _, join in windows]
        self.precedable = self._start_waits()
        self.start_holds = self._start_holds()
        self.clusters = clusters_of(problem)
        self.home = [0] * len(problem.tasks)
        for index, cluster in enumerate(self.clusters):
            for task in cluster.tasks:
                self.home[task] = index

    def _key(self, task: Task) -> int:
        """Return the index of the task's kind among those of its family."""
        if task.family is None:
            return 0
        keys = self.family_keys[task.family]
        key = (task.weight, task.duration, task.setup, task.dry_setup)
        if key not in keys:
            keys.append(key)
        return keys.index(key)

    def _start_waits(self) -> list[bool]:
        """Return for every task whether it may lose its set-up to one put before it."""
        free = [task.family is not None and task.fixed_start is None for task in self.problem.tasks]
        for lag in self.problem.lags:
            for task, anchor in ((lag.before, lag.before_anchor), (lag.after, lag.after_anchor)):
                if anchor is Anchor.START:
                    free[task] = False
        return free

    def _start_holds(self) -> dict[int, list[Hold]]:
        """Return the holds tied to the START of a task, by task."""
        found: dict[int, list[Hold]] = {}
        for hold in self.problem.holds:
            for edge in (hold.start, hold.end):
                if isinstance(edge, Moment) and edge.anchor is Anchor.START:
                    found.setdefault(edge.task, []).append(hold)
        return found

    def _windows(self, index: int) -> tuple[int, int]:
        problem, task = self.problem, self.problem.tasks[index]
        if task.fixed_start is not None:
            ready = task.fixed_start + own_setup(task)
            return 1 << ready, 0
        release, end = problem.release(index), problem.deadline(index) - task.duration + 1
        lead = 0 if task.follows is not None else window(release + task.setup, end)
        if task.family is None:
            return lead, 0
        family = problem.families[task.family]
        span = task.setup - task.dry_setup + task.duration
        if task.weight > family.max_weight:
            return 0, 0
        return 0 if span > family.max_span else lead, window(release, end)
