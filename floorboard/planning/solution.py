"""A schedule of a network, and how good it is."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum


class Status(Enum):
    """What is known about a solution."""

    OPTIMAL = "optimal"
    """No schedule of the network is better, proved."""
    FEASIBLE = "feasible"
    """A schedule that keeps every rule; better ones may exist."""
    INFEASIBLE = "infeasible"
    """No schedule keeps every rule, proved; `conflicts` says why."""
    UNKNOWN = "unknown"
    """None was found in the time given."""


@dataclass(frozen=True, slots=True)
class Placement:
    """When a task is done, by whom, and on whose batch it rides.

    Parameters
    ----------
    start, ready, end
        Steps; `start == ready` for a task that follows another in its batch.
    person
        Index, None for a passive task.
    previous
        The task right before it in its batch; None for a task that has its own set-up.
    leader
        The task whose set-up serves it: itself, or the first of its batch.
    """

    start: int
    ready: int
    end: int
    person: int | None
    previous: int | None
    leader: int


Placements = tuple[Placement | None, ...]
"""One per task, in task order; None where the task is absent."""


@dataclass(frozen=True, slots=True)
class Conflict:
    """Why a network has no schedule: what contradicts what, and by how many steps."""

    rule: str
    tasks: tuple[int, ...]
    amount: int
    message: str


@dataclass(frozen=True, slots=True)
class Solution:
    """A schedule with its worth and the way it was found.

    Parameters
    ----------
    placements
        One per task, None where absent; empty when there is no schedule.
    objective
        To be minimised in lexicographic order. `Goal.TIERS`: lost in-hand worth, weighted
        lateness, worth left out, sum of the finishes of the present groups, moved tasks.
        `Goal.MAKESPAN`: the latest end.
    bound
        A proven lower bound of `objective` in the same order (possibly of the first tiers
        only); empty when none is known.
    gap
        Relative distance to the bound at the first tier where they differ, 0.0 when proved;
        None without a bound.
    runtime_seconds, seed, engine
        How it was found.
    conflicts
        Why there is no schedule, when there is none.
    """

    placements: Placements
    objective: tuple[int, ...]
    status: Status
    engine: str
    bound: tuple[int, ...] = ()
    gap: float | None = None
    runtime_seconds: float = 0.0
    seed: int = 0
    conflicts: tuple[Conflict, ...] = field(default=())

    @property
    def found(self) -> bool:
        """Return whether there is a schedule."""
        return self.status in (Status.OPTIMAL, Status.FEASIBLE)


MOST_SLOWDOWN = 10.0
"""How many times as long as meant a search of some work may take before it is cut short."""


@dataclass(frozen=True, slots=True)
class Limits:
    """When a search ends, and what makes it repeatable.

    Parameters
    ----------
    seconds
        Wall time for the whole search, > 0.
    deterministic
        Ticks of work for the whole search, counted by the exact engine; None: no such limit.
        With it, one worker and the same seed, the same network gives the same solution.
    seed
        Of every random choice.
    workers
        Threads of the exact engine, >= 1.
    """

    seconds: float = 2.0
    deterministic: float | None = None
    seed: int = 1
    workers: int = 1

    @classmethod
    def of_work(cls, seconds: float) -> Limits:
        """Return limits of the work one core does in about so many seconds.

        The plan does not depend on how busy the machine is, unless it is `MOST_SLOWDOWN` times as
        slow.
        """
        return cls(seconds=MOST_SLOWDOWN * seconds, deterministic=seconds)
