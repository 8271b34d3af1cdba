"""The rules of a network as CP-SAT constraints: one method per rule, by the checker's names."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.planning.cpsat.scene import names_free, station_blocks
from floorboard.planning.hold_length import least_length
from floorboard.planning.network import Anchor, Moment
from floorboard.planning.steps import runs, window

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from floorboard.planning.cpsat.scene import Block
    from floorboard.planning.cpsat.variables import Expression, TaskVariables, Variables
    from floorboard.planning.network import Hold


class Rules:
    """Adds the rules of a scene to its model.

    `RULES_IN_MODEL` maps every rule name to what enforces it: a method here, or the way the
    variables are made. `batch` comes before `batch_weight` and `batch_span`, which use the
    follow literals it makes.
    """

    def __init__(self, variables: Variables) -> None:
        self.variables = variables
        self.model = variables.model
        self.scene = variables.scene
        self.problem = variables.scene.problem

    def add_all(self) -> None:
        """Add every rule."""
        for method in RULES_IN_MODEL.values():
            method(self)

    def by_construction(self) -> None:
        """Rules kept by the variables themselves.

        presence: the tasks of a group share one literal; length: START and END are expressions
        of READY; facts: work in hand has no variables; time and stretch: the domains of READY
        and the hands taken by breaks; objective: it is recomputed from the placements.
        """

    def skill(self) -> None:
        """Exactly one crew that can do it for every hands-on task that is present."""
        for task in self._free_tasks():
            crews = self.variables.tasks[task].crews
            if len(crews) > 1:
                self.model.add(sum(crews.values()) == self.variables.tasks[task].present)

    def one_task(self) -> None:
        """A crew never needs more hands than it has (breaks take all of them)."""
        for index, crew in enumerate(self.scene.crews):
            tasks = [t for t in self._free_tasks() if index in self.variables.tasks[t].crews]
            if not tasks:
                continue
            work = [self._interval(t, self.variables.tasks[t].crews[index]) for t in tasks]
            low = min(self.scene.first_start(task) for task in tasks)
            high = max(self.scene.last_end(task) for task in tasks)
            blocks = [b for b in self.scene.hands_taken[index] if b[0] < high and b[1] > low]
            self._limit(work, [1] * len(work), blocks, len(crew.people))

    def batch(self) -> None:
        """A task leads, or follows exactly one task at once, done by the same crew."""
        for family in range(len(self.problem.families)):
            tails = self.variables.tails(family)
            after_it: dict[int, list[Expression]] = {task: [] for task in tails}
            for after in tails:
                if not self.scene.is_free(after):
                    continue
                befores = [task for task in tails if self.variables.may_follow(task, after)]
                for before, arc in self._follow(after, befores):
                    after_it[before].append(arc)
            for before, arcs in after_it.items():
                if arcs:
                    self.model.add(sum(arcs) <= self.variables.tasks[before].present)

    def _follow(self, after: int, befores: list[int]) -> Iterator[tuple[int, Expression]]:
        made, arcs = self.variables.tasks[after], []
        for before in befores:
            arc = self.model.new_bool_var(f"{after} follows {before}")
            self.variables.follows[before, after] = arc
            arcs.append(arc)
            other = self.variables.tasks[before]
            self.model.add(made.ready == other.end).only_enforce_if(arc)
            if len(made.crews) > 1 or made.crews.keys() != other.crews.keys():
                for crew in made.crews.keys() | other.crews.keys():
                    difference = made.crews.get(crew, 0) - other.crews.get(crew, 0)
                    self.model.add(difference == 0).only_enforce_if(arc)
            yield before, arc
        self.model.add(sum(arcs) + made.leads == made.present)

    def batch_weight(self) -> None:
        """The load adds up along a batch; its variable is no larger than the bucket."""
        for (before, after), arc in self.variables.follows.items():
            load, made = self.variables.tasks[before].load, self.variables.tasks[after]
            more = self.problem.tasks[after].weight
            self.model.add(made.load >= load + more).only_enforce_if(arc)

    def batch_span(self) -> None:
        """The age since wetting adds up along a batch; its variable is within the span."""
        for (before, after), arc in self.variables.follows.items():
            age, made = self.variables.tasks[before].age, self.variables.tasks[after]
            duration = self.problem.tasks[after].duration
            self.model.add(made.age >= age + duration).only_enforce_if(arc)

    def least_wait(self) -> None:
        """The least waits, whenever both tasks are present."""
        for lag in self.problem.lags:
            if lag.least is not None:
                wait, when = self._wait(lag.before, lag.before_anchor, lag.after, lag.after_anchor)
                if wait is not None:
                    self._add_when(wait >= lag.least, when)

    def greatest_wait(self) -> None:
        """The greatest waits, whenever both tasks are present."""
        for lag in self.problem.lags:
            if lag.greatest is not None:
                wait, when = self._wait(lag.before, lag.before_anchor, lag.after, lag.after_anchor)
                if wait is not None:
                    self._add_when(wait <= lag.greatest, when)

    def _wait(
        self, before: int, before_anchor: Anchor, after: int, after_anchor: Anchor
    ) -> tuple[Expression | None, list[Expression]]:
        """Return the wait between two moments and the literals under which it counts."""
        first, second = self.variables.tasks.get(before), self.variables.tasks.get(after)
        if first is None or second is None:
            return None, []
        if not self.scene.is_free(before) and not self.scene.is_free(after):
            return None, []
        home = self.scene.layout.home[before]
        together = home == self.scene.layout.home[after]
        # In a tree of exact waits the moments of an absent group can keep them too, and a wait
        # that always holds propagates better.
        always = together and self.scene.layout.clusters[home].tree
        when = [] if always else [first.present, second.present]
        return second.at(after_anchor) - first.at(before_anchor), when

    def station(self) -> None:
        """Stations are never used beyond their capacity, by tasks or by holds."""
        free = set(self.scene.free)
        for index, station in enumerate(self.problem.stations):
            work, units, empty = [], [], False
            for task in self._free_tasks():
                for which, number in self.problem.tasks[task].demands:
                    if which == index and number:
                        work.append(self._interval(task, self.variables.tasks[task].present))
                        units.append(number)
                        empty = empty or not self.problem.tasks[task].duration
            for place, hold in enumerate(self.problem.holds):
                if hold.station == index and names_free(self.scene, hold, free):
                    empty = empty or self._may_be_empty(hold)
                    for interval in self._hold(place, hold):
                        work.append(interval)
                        units.append(hold.units)
            if work:
                blocks = station_blocks(self.scene, index)
                self._limit(work, units, blocks, station.capacity, empty)

    def _may_be_empty(self, hold: Hold) -> bool:
        """Return whether the waits do not tell that a hold lasts a step at the least."""
        edge = hold.start if isinstance(hold.start, Moment) else hold.end
        assert isinstance(edge, Moment)
        cluster = self.scene.layout.clusters[self.scene.layout.home[edge.task]]
        return least_length(self.problem, cluster, hold) < 1

    def _hold(self, place: int, hold: Hold) -> Iterator[Expression]:
        """Yield the interval of a hold, and the one that stays when its group is absent."""
        edge = hold.start if isinstance(hold.start, Moment) else hold.end
        assert isinstance(edge, Moment)
        present = self.variables.groups[self.scene.layout.home[edge.task]]
        if hold.lost_until is not None and isinstance(hold.start, int):
            lost = self.model.new_bool_var(f"hold {place} lost")
            self.model.add(lost + present == 1)
            self.variables.lost_holds[place] = lost
            # What stays held is a fact: where the station is full of facts it adds nothing.
            room = self.scene.station_room(hold.station, hold.units)
            for begin, end in runs(room & window(hold.start, hold.lost_until)):
                yield self.model.new_optional_fixed_size_interval_var(
                    begin, end - begin, lost, f"hold {place} kept"
                )
        if edge.task not in self.variables.tasks:
            return
        start = self._moment(hold.start)
        end = self.problem.horizon if hold.end is None else self._moment(hold.end)
        latest = self.model.new_int_var(-self.problem.horizon, 2 * self.problem.horizon, "")
        self.model.add(latest >= end)
        self.model.add(latest >= start)
        size = self.model.new_int_var(0, 3 * self.problem.horizon, "")
        self.variables.holds[place] = (start, end)
        self.variables.hold_ends[place] = (latest, size)
        yield self.model.new_optional_interval_var(start, size, latest, present, f"hold {place}")

    def _moment(self, edge: Moment | int) -> Expression:
        if isinstance(edge, int):
            return edge
        return self.variables.tasks[edge.task].at(edge.anchor) + edge.offset

    def _add_when(self, constraint: Expression, when: list[Expression]) -> None:
        literals = [literal for literal in when if not isinstance(literal, int)]
        if isinstance(constraint, bool):
            if not constraint:
                self.model.add_bool_or([~literal for literal in literals])
            return
        added = self.model.add(constraint)
        if literals:
            added.only_enforce_if(literals)

    def _interval(self, task: int, present: Expression) -> Expression:
        made: TaskVariables = self.variables.tasks[task]
        name = f"{task}"
        if isinstance(present, int):
            return self.model.new_interval_var(made.start, made.size, made.end, name)
        return self.model.new_optional_interval_var(made.start, made.size, made.end, present, name)

    def _limit(
        self,
        work: list[Expression],
        units: list[int],
        blocks: list[Block],
        capacity: int,
        empty: bool = False,
    ) -> None:
        """Add one limit on the use of hands or of a station.

        Parameters
        ----------
        empty
            Whether some work may take no time: it may then lie within other work, which a
            constraint without overlap would not allow.
        """
        fixed = [self.model.new_fixed_size_interval_var(a, b - a, "") for a, b, _ in blocks]
        demands = units + [number for *_, number in blocks]
        if not empty and all(2 * number > capacity for number in demands):
            self.model.add_no_overlap(work + fixed)
            for interval, number in zip(work, units, strict=True):
                if number > capacity:
                    self.model.add_cumulative([interval], [number], capacity)
        else:
            self.model.add_cumulative(work + fixed, demands, capacity)

    def _free_tasks(self) -> list[int]:
        return list(self.scene.domains)


RULES_IN_MODEL: dict[str, Callable[[Rules], None]] = {
    "presence": Rules.by_construction,
    "length": Rules.by_construction,
    "facts": Rules.by_construction,
    "time": Rules.by_construction,
    "skill": Rules.skill,
    "stretch": Rules.by_construction,
    "one_task": Rules.one_task,
    "batch": Rules.batch,
    "batch_weight": Rules.batch_weight,
    "batch_span": Rules.batch_span,
    "least_wait": Rules.least_wait,
    "greatest_wait": Rules.greatest_wait,
    "station": Rules.station,
    "objective": Rules.by_construction,
}
