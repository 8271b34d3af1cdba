"""Published instances as networks, so that they go through the same code as the shop.

The data and their sources are in the text files of the shared folder `instances`.
"""

from __future__ import annotations

import tomllib

from floorboard.planning.draft import Draft
from floorboard.planning.network import Anchor, Goal, Lag, Problem, Station, Task
from floorboard.planning.rotation import Move, RotationProblem, Soak
from floorboard.shop.locations import shared_file


def job_shop(name: str) -> Problem:
    """Return a job shop: every machine a station of one, every job a chain of passive tasks.

    Raises
    ------
    FileNotFoundError
        When there is no such instance.
    """
    rows = [[int(word) for word in line.split()] for line in _lines(name)]
    draft = Draft(horizon=sum(sum(row[1::2]) for row in rows[1:]), goal=Goal.MAKESPAN)
    machines = [draft.station(Station(f"machine {m}", 1)) for m in range(rows[0][1])]
    for job, row in enumerate(rows[1:]):
        before = None
        for step, (machine, duration) in enumerate(zip(row[::2], row[1::2], strict=True)):
            demands = ((machines[machine], 1),)
            task = draft.task(Task(f"job {job} step {step}", duration, demands=demands))
            if before is not None:
                draft.lag(Lag(before, task))
            before = task
    return draft.problem()


def project(name: str) -> Problem:
    """Return a project with least and greatest waits between starts (RCPSP/max).

    Raises
    ------
    FileNotFoundError
        When there is no such instance.
    """
    kinds: dict[str, list[list[int]]] = {"capacities": [], "task": [], "arc": []}
    for line in _lines(name):
        kind, *numbers = line.split()
        kinds[kind].append([int(number) for number in numbers])
    longest = sum(row[1] for row in kinds["task"]) + sum(abs(row[2]) for row in kinds["arc"])
    draft = Draft(horizon=longest, goal=Goal.MAKESPAN)
    for number, capacity in enumerate(kinds["capacities"][0]):
        draft.station(Station(f"resource {number}", capacity))
    for number, duration, *units in kinds["task"]:
        demands = tuple((station, need) for station, need in enumerate(units) if need)
        draft.task(Task(f"activity {number}", duration, demands=demands))
    for before, after, lag in kinds["arc"]:
        if lag >= 0:
            draft.lag(Lag(before, after, lag, None, Anchor.START, Anchor.START))
        else:
            draft.lag(Lag(after, before, None, -lag, Anchor.START, Anchor.START))
    return draft.problem()


def _lines(name: str) -> list[str]:
    text = shared_file(f"instances/{name}.txt").read_text(encoding="utf-8")
    return [line for line in text.splitlines() if line and not line.startswith("#")]


def line_of_tanks(name: str) -> RotationProblem:
    """Return a line of tanks with one mover: a soak in every tank between two moves.

    Raises
    ------
    FileNotFoundError
        When there is no such instance.
    """
    text = shared_file(f"instances/{name}.toml").read_text(encoding="utf-8")
    entries = tomllib.loads(text)
    moves = tuple(
        Move(f"move {number}", duration) for number, duration in enumerate(entries["loaded_moves"])
    )
    bounds = zip(entries["least_soak"], entries["greatest_soak"], strict=True)
    soaks = tuple(
        Soak(tank, tank + 1, least, None if greatest < 0 else greatest)
        for tank, (least, greatest) in enumerate(bounds)
    )
    return RotationProblem(moves, soaks, tuple(tuple(row) for row in entries["empty_moves"]))
