"""The scheduling network: tasks, hands, stations, waits, holds and what is wanted.

This is the general core's only input. It knows nothing of a shop: every quantity is an int in
grid steps (or in whatever unit the caller gave weights and worth), every reference is an index
into the tuples of `Problem`. All intervals are half-open, `[start, end)`.

A task on the time axis::

    START ........ READY .............. END
      | set-up      | duration           |
      | (weigh|mix) | (the work proper)  |

`ready = start + set-up` and `end = ready + duration`. The set-up of a task with a family is
omitted when the task rides on a batch that another task of the family leads.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum

Stretch = tuple[int, int]
"""Half-open `[start, end)` in grid steps."""


class Anchor(Enum):
    """The moment of a task a wait or a hold is tied to."""

    START = "start"
    """The person begins (set-up included)."""
    READY = "ready"
    """The set-up is over and the work proper begins (the pour itself)."""
    END = "end"
    """The work is over."""


class Goal(Enum):
    """What the solvers minimise."""

    TIERS = "tiers"
    """In order: lost in-hand worth, weighted lateness, worth left out, sum of finishes, moves."""
    MAKESPAN = "makespan"
    """The latest end of any task; every group has to be present."""


@dataclass(frozen=True, slots=True)
class Person:
    """Someone who does one task at a time.

    Parameters
    ----------
    name
        For messages only.
    stretches
        When the person can work, in order, with a break of at least one step between two of
        them. A task lies wholly inside one stretch.
    """

    name: str
    stretches: tuple[Stretch, ...]


@dataclass(frozen=True, slots=True)
class Station:
    """Something of a limited number: a mixer, a rack, the molds of one piece.

    Parameters
    ----------
    name
        For messages only.
    capacity
        Units that can be in use at once, >= 0.
    taken
        `(start, end, units)` in use for reasons outside the network (out of service, say).
    """

    name: str
    capacity: int
    taken: tuple[tuple[int, int, int], ...] = ()


@dataclass(frozen=True, slots=True)
class Family:
    """Tasks that may share one set-up (layers of one mix that may share a batch).

    Parameters
    ----------
    name
        For messages only.
    max_weight
        Greatest sum of the weights of the tasks of one batch.
    max_span
        Greatest number of steps from the wet moment of the batch (start of its leader plus the
        leader's `dry_setup`) to the end of its last task.
    """

    name: str
    max_weight: int
    max_span: int


@dataclass(frozen=True, slots=True)
class Task:
    """One piece of work, hands-on (some `people`) or passive (none).

    Parameters
    ----------
    name
        For messages only.
    duration
        Steps of the work proper, >= 0, and >= 1 when it needs people.
    people
        Indices of the people who can do it, each listed once; empty for a passive task.
    setup
        Steps before the work proper, >= 0; omitted when the task follows another in a batch.
    dry_setup
        The first steps of `setup`, before the batch is wet; 0..setup.
    family
        Index of the family it may share a batch with; needs `people`.
    weight
        What it takes of the family's `max_weight`.
    demands
        `(station, units)` held from START to END, each station listed once.
    release, deadline
        START is not before `release`, END not after `deadline` (None: the horizon).
    fixed_start, fixed_person
        Work in hand: START and who does it are facts, given together. Facts are never breaches
        among themselves, and a fixed task may lie outside its person's stretches. It keeps its
        person and its stations busy even when its group is absent.
    follows
        The task it has to follow in a batch, when it is already mixed for.
    """

    name: str
    duration: int
    people: tuple[int, ...] = ()
    setup: int = 0
    dry_setup: int = 0
    family: int | None = None
    weight: int = 0
    demands: tuple[tuple[int, int], ...] = ()
    release: int = 0
    deadline: int | None = None
    fixed_start: int | None = None
    fixed_person: int | None = None
    follows: int | None = None


@dataclass(frozen=True, slots=True)
class Lag:
    """A least and a greatest wait between two moments.

    `least <= moment(after) - moment(before) <= greatest`; either bound may be None, and `least`
    may be negative. Holds whenever both tasks are present. Waits run through breaks.
    """

    before: int
    after: int
    least: int | None = 0
    greatest: int | None = None
    before_anchor: Anchor = Anchor.END
    after_anchor: Anchor = Anchor.START
    name: str = ""


@dataclass(frozen=True, slots=True)
class Moment:
    """The time of one anchor of one task, plus `offset` steps."""

    task: int
    anchor: Anchor
    offset: int = 0


@dataclass(frozen=True, slots=True)
class Hold:
    """Units of a station held from one moment to another.

    Parameters
    ----------
    station
        Index of the station.
    start
        A moment of a task, or a fixed step (a mold filled in the past: 0).
    end
        A moment of a task, a fixed step, or None: to the horizon.
    units
        Units held, >= 1.
    lost_until
        When the group of the hold's tasks is absent: None, nothing is held; else the units stay
        held from `start` (which then must be a fixed step) to this step.

    The hold applies when the tasks it names are present. An empty or negative stretch holds
    nothing.
    """

    station: int
    start: Moment | int
    end: Moment | int | None
    units: int = 1
    lost_until: int | None = None


@dataclass(frozen=True, slots=True)
class Group:
    """Tasks that are all present or all absent (one casting). Tasks in no group are present.

    Parameters
    ----------
    name
        For messages only.
    tasks
        Indices; a task is in at most one group.
    in_hand
        Tier 1: already in a mold, to be saved if at all possible; `worth` says how much its
        loss weighs against another loss.
    worth
        Tier 3: what having it finished within the horizon counts, >= 0.
    due, late_weight
        Tier 2: `late_weight` for every step its last task ends after `due`. An absent group
        counts as finished at the horizon.
    alike
        Groups with the same number are interchangeable: same tasks, waits, holds, in the same
        order. Give them by due date, earliest first. Solvers plan the first of them first.
    """

    name: str
    tasks: tuple[int, ...]
    in_hand: bool = False
    worth: int = 1
    due: int | None = None
    late_weight: int = 0
    alike: int | None = None


@dataclass(frozen=True, slots=True)
class Planned:
    """Where the plan that people follow has a task; tier 5 counts the tasks that moved."""

    task: int
    start: int
    person: int | None = None


@dataclass(frozen=True, slots=True)
class Problem:
    """A whole network; checked when made.

    Parameters
    ----------
    horizon
        Every task of the plan ends at or before this step, > 0.
    now
        No task without `fixed_start` starts before this step.
    reference, reference_slack
        The plan people are following, for the tasks whose moving matters (the next hour's); a
        task has moved when its start differs by more than the slack, or its person differs, or
        it is absent.

    Raises
    ------
    NetworkError
        When an index, an order or a sign is impossible; all findings in one message.
    """

    horizon: int
    tasks: tuple[Task, ...]
    people: tuple[Person, ...] = ()
    stations: tuple[Station, ...] = ()
    families: tuple[Family, ...] = ()
    lags: tuple[Lag, ...] = ()
    holds: tuple[Hold, ...] = ()
    groups: tuple[Group, ...] = ()
    now: int = 0
    goal: Goal = Goal.TIERS
    reference: tuple[Planned, ...] = ()
    reference_slack: int = 0
    group_of: tuple[int | None, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        from floorboard.planning.network_findings import refuse_impossible

        owner: list[int | None] = [None] * len(self.tasks)
        for index, group in enumerate(self.groups):
            for task in group.tasks:
                if 0 <= task < len(owner):
                    owner[task] = index
        object.__setattr__(self, "group_of", tuple(owner))
        refuse_impossible(self)

    def release(self, task: int) -> int:
        """Return the earliest START of a task: its fact, or its release and `now`."""
        entry = self.tasks[task]
        if entry.fixed_start is not None:
            return entry.fixed_start
        return max(entry.release, self.now)

    def deadline(self, task: int) -> int:
        """Return the latest END of a task that is not a fact."""
        entry = self.tasks[task]
        return self.horizon if entry.deadline is None else min(entry.deadline, self.horizon)
