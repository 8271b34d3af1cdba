"""A plain model of one day of a shop for the exact solver: no warm start, no shared batches.

What somebody would write in an afternoon: optional intervals for every task, one for each person
who could do it, no overlap on a person, waits as linear constraints, molds as a cumulative, and
the castings finished to be maximised. The planner is compared with what this reaches.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from floorboard.planning.network import Anchor, Moment

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

    from floorboard.planning.network import Hold, Problem


@dataclass(frozen=True, slots=True)
class PlainAnswer:
    """Worth of the groups present, the bound proved, and how long it took."""

    worth: int
    groups: int
    bound: float
    status: str
    seconds: float


def solve_plain(problem: Problem, seconds: float, workers: int) -> PlainAnswer:
    """Return what the plain model reaches in so many seconds of wall time."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    plain = _Plain(model, problem)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = workers
    status = solver.solve(model)
    there = [
        group
        for group, literal in zip(problem.groups, plain.present, strict=True)
        if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) and solver.value(literal)
    ]
    return PlainAnswer(
        worth=sum(group.worth for group in there),
        groups=len(there),
        bound=solver.best_objective_bound,
        status=solver.status_name(status),
        seconds=solver.wall_time,
    )


class _Plain:
    def __init__(self, model: cp_model.CpModel, problem: Problem) -> None:
        self.model, self.problem = model, problem
        self.present = [model.new_bool_var(group.name) for group in problem.groups]
        self.start: list[cp_model.IntVar] = []
        self.by_person: list[list[cp_model.IntervalVar]] = [[] for _ in problem.people]
        for index in range(len(problem.tasks)):
            self._task(index)
        for number, person in enumerate(problem.people):
            self._breaks(number, person.stretches)
            model.add_no_overlap(self.by_person[number])
        for lag in problem.lags:
            self._lag(
                lag.before, lag.before_anchor, lag.after, lag.after_anchor, lag.least, lag.greatest
            )
        self._stations()
        model.maximize(
            sum(
                group.worth * literal
                for group, literal in zip(problem.groups, self.present, strict=True)
            )
        )

    def _literal(self, task: int) -> cp_model.IntVar | bool:
        group = self.problem.group_of[task]
        return True if group is None else self.present[group]

    def _task(self, index: int) -> None:
        task, model = self.problem.tasks[index], self.model
        length = task.setup + task.duration
        first, last = self.problem.release(index), self.problem.deadline(index) - length
        if task.fixed_start is not None:
            first = last = task.fixed_start
        start = model.new_int_var(first, max(first, last), task.name)
        if last < first:
            model.add(self._literal(index) == 0)
        self.start.append(start)
        chosen = []
        for person in task.people:
            does = model.new_bool_var("")
            self.by_person[person].append(
                model.new_optional_fixed_size_interval_var(start, length, does, "")
            )
            chosen.append(does)
        if chosen:
            model.add(sum(chosen) == self._literal(index))

    def _breaks(self, person: int, stretches: tuple[tuple[int, int], ...]) -> None:
        at = 0
        for first, last in (*stretches, (self.problem.horizon, self.problem.horizon)):
            if first > at:
                self.by_person[person].append(
                    self.model.new_fixed_size_interval_var(at, first - at, "")
                )
            at = last

    def _moment(self, task: int, anchor: Anchor) -> cp_model.LinearExpr:
        entry = self.problem.tasks[task]
        offset = {
            Anchor.START: 0,
            Anchor.READY: entry.setup,
            Anchor.END: entry.setup + entry.duration,
        }[anchor]
        return self.start[task] + offset

    def _lag(
        self,
        before: int,
        before_anchor: Anchor,
        after: int,
        after_anchor: Anchor,
        least: int | None,
        greatest: int | None,
    ) -> None:
        first, then = self._moment(before, before_anchor), self._moment(after, after_anchor)
        present = [x for x in (self._literal(before), self._literal(after)) if x is not True]
        if least is not None:
            self.model.add(then >= first + least).only_enforce_if(*present)
        if greatest is not None:
            self.model.add(then <= first + greatest).only_enforce_if(*present)

    def _stations(self) -> None:
        for index, station in enumerate(self.problem.stations):
            intervals = [
                self.model.new_fixed_size_interval_var(a, b - a, "") for a, b, _ in station.taken
            ]
            units = [u for _, _, u in station.taken]
            for hold in self.problem.holds:
                if hold.station == index:
                    intervals.append(self._hold(hold))
                    units.append(hold.units)
            for number, task in enumerate(self.problem.tasks):
                for key, demand in task.demands:
                    if key == index:
                        length = task.setup + task.duration
                        intervals.append(
                            self.model.new_optional_fixed_size_interval_var(
                                self.start[number], length, self._literal(number), ""
                            )
                        )
                        units.append(demand)
            if intervals:
                self.model.add_cumulative(intervals, units, station.capacity)

    def _hold(self, hold: Hold) -> cp_model.IntervalVar:
        ends = [self._edge(edge) for edge in (hold.start, hold.end)]
        task = next(e.task for e in (hold.start, hold.end) if isinstance(e, Moment))
        size = self.model.new_int_var(0, self.problem.horizon, "")
        end = self.model.new_int_var(0, 2 * self.problem.horizon, "")
        self.model.add(end == ends[1]).only_enforce_if(self._literal(task))
        return self.model.new_optional_interval_var(ends[0], size, end, self._literal(task), "")

    def _edge(self, edge: Moment | int | None) -> cp_model.LinearExpr | int:
        if isinstance(edge, Moment):
            return self._moment(edge.task, edge.anchor) + edge.offset
        return self.problem.horizon if edge is None else edge
