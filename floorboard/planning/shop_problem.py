"""A shop written as a network, with what is needed to read a schedule back as a plan."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    import datetime as dt

    from floorboard.planning.carry_on import CarriedOn, Opening
    from floorboard.planning.horizon import Horizon
    from floorboard.planning.network import Problem
    from floorboard.planning.plan import TaskKind
    from floorboard.planning.solution import Placements
    from floorboard.planning.time_grid import TimeGrid
    from floorboard.planning.wanted import Wanted
    from floorboard.shop.build import Build

GroupKind = Literal["in mold", "today", "overnight", "finishing"]


@dataclass(frozen=True, slots=True)
class TaskRef:
    """Which task of the shop a task of the network is."""

    kind: TaskKind
    casting: str
    index: int


@dataclass(frozen=True, slots=True)
class GroupRef:
    """Which casting a group of the network is.

    `casting` is a serial number, or for a new casting a name of its own within the network;
    `pool` names the molds it may be cast in.
    """

    kind: GroupKind
    casting: str
    build: Build
    order: str | None
    pool: str | None = None
    first_task: int = 0


@dataclass(frozen=True, slots=True)
class Pool:
    """Molds of one piece that serve a casting equally well.

    `free_from` gives for each mold the step from which it is empty, None for one that a casting
    of the plan empties (the casting's serial is in `holds`).
    """

    key: str
    piece: str
    station: int
    molds: tuple[str, ...]
    free_from: dict[str, int]
    holds: dict[str, str]


@dataclass(frozen=True, slots=True)
class ShopProblem:
    """The network of a shop and the way back.

    Parameters
    ----------
    tasks, groups
        What each task and group of `problem` stands for, index by index; None for the task that
        only marks the moment the plan is made.
    people
        Ids, in the order of the network.
    lost
        Castings in molds that nothing can save, known before any solving, with their opening.
    followed
        Where the plan people are following has each task; empty without one.
    """

    problem: Problem
    grid: TimeGrid
    now: dt.datetime
    horizon: Horizon
    tasks: tuple[TaskRef | None, ...]
    groups: tuple[GroupRef, ...]
    people: tuple[str, ...]
    pools: dict[str, Pool]
    carried: CarriedOn
    wanted: Wanted
    lost: dict[str, Opening] = field(default_factory=dict)
    notes: tuple[str, ...] = ()
    followed: Placements = ()
