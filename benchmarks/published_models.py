"""One lean CP-SAT model for each kind of published problem, written by hand for it alone.

They share nothing with the planner but the text files of the instances and the solver's
parameters, and are what it is measured against (see `published`).
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ortools.sat.python import cp_model

from floorboard.shop.locations import shared_file

if TYPE_CHECKING:
    from collections.abc import Callable


@dataclass(frozen=True, slots=True)
class Found:
    """What a model found: its value and its bound, in the unit of the instance."""

    value: int
    bound: int

    @property
    def proved(self) -> bool:
        """Return whether nothing shorter exists."""
        return self.bound >= self.value


def solved(model: cp_model.CpModel, seconds: float, seed: int, workers: int) -> Found:
    """Solve a model with the parameters that serve these problems best."""
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.random_seed = seed
    solver.parameters.num_workers = workers
    # Of those tried this one proves ft10 soonest, and costs the others nothing.
    solver.parameters.use_dynamic_precedence_in_disjunctive = True
    state = solver.solve(model)
    if state not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Found(0, -1)
    return Found(round(solver.objective_value), round(solver.best_objective_bound))


def _lines(name: str) -> list[list[str]]:
    text = shared_file(f"instances/{name}.txt").read_text(encoding="utf-8")
    return [line.split() for line in text.splitlines() if line and not line.startswith("#")]


def job_shop(name: str) -> Callable[[float, int, int], Found]:
    """Return the solving of a job shop: fixed intervals, one no-overlap a machine."""
    jobs = [[int(word) for word in line] for line in _lines(name)[1:]]
    longest = sum(sum(job[1::2]) for job in jobs)

    def solve(seconds: float, seed: int, workers: int) -> Found:
        model = cp_model.CpModel()
        makespan = model.new_int_var(0, longest, "makespan")
        machines: dict[int, list[Any]] = {}
        for job in jobs:
            end: Any = 0
            for machine, duration in zip(job[::2], job[1::2], strict=True):
                start = model.new_int_var(0, longest - duration, "")
                model.add(start >= end)
                interval = model.new_fixed_size_interval_var(start, duration, "")
                machines.setdefault(machine, []).append(interval)
                end = start + duration
            model.add(makespan >= end)
        for intervals in machines.values():
            model.add_no_overlap(intervals)
        model.minimize(makespan)
        return solved(model, seconds, seed, workers)

    return solve


def project(name: str) -> Callable[[float, int, int], Found]:
    """Return the solving of a project: fixed intervals, one cumulative a resource, the arcs."""
    rows: dict[str, list[list[int]]] = {}
    for kind, *numbers in _lines(name):
        rows.setdefault(kind, []).append([int(number) for number in numbers])
    longest = sum(row[1] for row in rows["task"]) + sum(abs(row[2]) for row in rows["arc"])

    def solve(seconds: float, seed: int, workers: int) -> Found:
        model = cp_model.CpModel()
        makespan = model.new_int_var(0, longest, "makespan")
        starts = [model.new_int_var(0, longest, "") for _ in rows["task"]]
        intervals = []
        for start, (_, duration, *_units) in zip(starts, rows["task"], strict=True):
            intervals.append(model.new_fixed_size_interval_var(start, duration, ""))
            model.add(makespan >= start + duration)
        for resource, capacity in enumerate(rows["capacities"][0]):
            units = [row[2 + resource] for row in rows["task"]]
            used = [(i, n) for i, n in zip(intervals, units, strict=True) if n]
            model.add_cumulative([i for i, _ in used], [n for _, n in used], capacity)
        for before, after, lag in rows["arc"]:
            model.add(starts[after] >= starts[before] + lag)
        model.minimize(makespan)
        return solved(model, seconds, seed, workers)

    return solve


def line_of_tanks(name: str) -> Callable[[float, int, int], Found]:
    """Return the solving of a line of tanks: an order for every pair of moves after the first.

    The cycle begins with move 0. A soak crosses its end just when the tank is emptied before it
    is filled, which the order of its two moves says.
    """
    entries = tomllib.loads(shared_file(f"instances/{name}.toml").read_text(encoding="utf-8"))
    loaded, empty = entries["loaded_moves"], entries["empty_moves"]
    bounds = list(zip(entries["least_soak"], entries["greatest_soak"], strict=True))
    longest = sum(loaded) + sum(max(row) for row in empty) + sum(entries["least_soak"])

    def solve(seconds: float, seed: int, workers: int) -> Found:
        model = cp_model.CpModel()
        cycle = model.new_int_var(1, longest, "cycle")
        at: list[Any] = [0, *(model.new_int_var(0, longest, "") for _ in loaded[1:])]
        first: dict[tuple[int, int], Any] = {}
        for j in range(1, len(loaded)):
            model.add(at[j] >= loaded[0] + empty[0][j])
            model.add(at[j] + loaded[j] + empty[j][0] <= cycle)
            for i in range(1, j):
                literal = first[i, j] = model.new_bool_var("")
                model.add(at[j] >= at[i] + loaded[i] + empty[i][j]).only_enforce_if(literal)
                model.add(at[i] >= at[j] + loaded[j] + empty[j][i]).only_enforce_if(~literal)
        for tank, (least, greatest) in enumerate(bounds, start=1):
            soak = at[tank] - at[tank - 1] - loaded[tank - 1]
            if tank == 1:
                model.add(soak >= least)
                model.add(soak <= (greatest if greatest >= 0 else longest))
                continue
            for length, literal in (
                (soak, first[tank - 1, tank]),
                (soak + cycle, ~first[tank - 1, tank]),
            ):
                model.add(length >= least).only_enforce_if(literal)
                if greatest >= 0:
                    model.add(length <= greatest).only_enforce_if(literal)
        model.minimize(cycle)
        return solved(model, seconds, seed, workers)

    return solve
