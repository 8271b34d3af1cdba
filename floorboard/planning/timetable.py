"""Who is free when, which units are in use, which batches can still take a task.

The mutable board the insertion works on. Time is sets of steps (`steps`): one int per person,
one int per level of a station (level k holds the steps at which at least k units are in use).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from floorboard.planning.network import Anchor, Moment
from floorboard.planning.solution import Placement
from floorboard.planning.steps import fits, window

if TYPE_CHECKING:
    from floorboard.planning.layout import Layout
    from floorboard.planning.network import Hold, Task
    from floorboard.planning.solution import Placements

Placed = tuple[int, int, int, int | None, int | None, int]
"""`(start, ready, end, person, previous, leader)`."""

AT: dict[Anchor, Literal[0, 1, 2]] = {Anchor.START: 0, Anchor.READY: 1, Anchor.END: 2}
"""Where the moment of an anchor stands in `Placed`."""

Wet = tuple[int, int, int, int]
"""An open batch: `(last task, leader, wet step, weight so far)`."""


class Timetable:
    """A partial schedule that tasks are placed in and taken out of."""

    __slots__ = ("_fit", "_free", "_levels", "_open", "_wet", "layout", "placed")

    def __init__(self, layout: Layout) -> None:
        problem = layout.problem
        self.layout = layout
        self.placed: list[Placed | None] = [None] * len(problem.tasks)
        self._free = [sum(window(*span) for span in person.stretches) for person in problem.people]
        self._fit: list[dict[int, int]] = [{} for _ in problem.people]
        self._levels = [[0] * station.capacity for station in problem.stations]
        # Per family, key and person: the ends of batches that can take a task of that key.
        self._open = [[[0] * len(problem.people) for _ in keys] for keys in layout.family_keys]
        self._wet: dict[tuple[int, int], Wet] = {}
        for index, station in enumerate(problem.stations):
            for start, end, units in station.taken:
                self._use(index, start, end, units)
        for hold in problem.holds:
            if not isinstance(hold.start, Moment) and not isinstance(hold.end, Moment):
                end = problem.horizon if hold.end is None else hold.end
                self._use(hold.station, hold.start, end, hold.units)

    def copy(self) -> Timetable:
        """Return an independent copy; cheap, for nothing but ints and short lists is copied."""
        other = object.__new__(Timetable)
        other.layout = self.layout
        other.placed = self.placed[:]
        other._free = self._free[:]
        other._fit = [known.copy() for known in self._fit]
        other._levels = [levels[:] for levels in self._levels]
        other._open = [[people[:] for people in keys] for keys in self._open]
        other._wet = self._wet.copy()
        return other

    def person_fits(self, person: int, length: int) -> int:
        """Return the steps at which a person could begin `length` steps of work."""
        known = self._fit[person].get(length)
        if known is None:
            known = self._fit[person][length] = fits(self._free[person], length)
        return known

    def busy_before(self, person: int, step: int) -> int:
        """Return the idle steps of a person right before a step (their best-fit measure)."""
        return step - (~self._free[person] & ((1 << step) - 1)).bit_length()

    def leading(self, task: Task) -> int:
        """Return the steps at which a task could START with its own set-up."""
        length = task.setup + task.duration
        if task.people:
            starts = 0
            for person in task.people:
                known = self._fit[person].get(length)
                starts |= self.person_fits(person, length) if known is None else known
        else:
            starts = self.layout.everything | 1 << self.layout.problem.horizon
        return self._with_stations(task, starts, length) if task.demands else starts

    def joining(self, index: int, task: Task) -> int:
        """Return the steps at which a task could follow the last of an open batch."""
        assert task.family is not None
        ends = self._open[task.family][self.layout.key[index]]
        steps = 0
        for person in task.people:
            if ends[person]:
                steps |= ends[person] & self.person_fits(person, task.duration)
        return self._with_stations(task, steps, task.duration) if task.demands else steps

    def joins(self, index: int, task: Task, person: int, step: int) -> bool:
        """Return whether a task could follow, at a step, the last of a person's open batch."""
        assert task.family is not None
        ends = self._open[task.family][self.layout.key[index]][person]
        return bool((ends & self.person_fits(person, task.duration)) >> step & 1)

    def wet_batch(self, person: int, step: int) -> Wet | None:
        """Return the batch of a person whose last task ends at a step."""
        return self._wet.get((person, step))

    def _with_stations(self, task: Task, starts: int, length: int) -> int:
        for station, units in task.demands:
            if units:
                starts &= self.station_fits(station, units, length)
        return starts

    def station_full(self, station: int, units: int) -> int:
        """Return the steps at which fewer than `units` units of a station are free."""
        levels = self._levels[station]
        if units > len(levels):
            return self.layout.everything
        return levels[len(levels) - units]

    def station_fits(self, station: int, units: int, length: int) -> int:
        """Return the steps at which `units` units are free for `length` steps."""
        if length <= 0:
            return self.layout.everything | 1 << self.layout.problem.horizon
        return fits(self.layout.everything & ~self.station_full(station, units), length)

    def place(self, index: int, ready: int, person: int | None, previous: int | None) -> None:
        """Put a task in; the caller has made sure that it fits."""
        task = self.layout.problem.tasks[index]
        end = ready + task.duration
        start, leader = (ready - task.setup, index) if previous is None else (ready, index)
        if task.family is not None and person is not None:
            leader = self._extend(index, task, start, end, person, previous)
        if person is not None:
            self._occupy(person, start, end)
        for station, units in task.demands:
            self._use(station, start, end, units)
        self.placed[index] = (start, ready, end, person, previous, leader)

    def _extend(
        self, index: int, task: Task, start: int, end: int, person: int, previous: int | None
    ) -> int:
        """Begin a batch or add to one; return its leader."""
        assert task.family is not None
        leader, wet, weight = index, start + task.dry_setup, task.weight
        if previous is not None:
            # Among facts the steps may not meet exactly, so the batch is found by its last task.
            before = self.placed[previous]
            at = start if before is None else before[2]
            _, leader, wet, weight = self._wet.pop((person, at), (index, index, wet, 0))
            weight += task.weight
            self._close(task.family, person, at)
        self._wet[person, end] = (index, leader, wet, weight)
        self._offer(task.family, person, end, wet, weight)
        return leader

    def _offer(self, family: int, person: int, end: int, wet: int, weight: int) -> None:
        """Mark the end of a batch for every kind of task that it can still take."""
        limits, bit = self.layout.problem.families[family], 1 << end
        most, last = limits.max_weight - weight, limits.max_span + wet - end
        for place, (more, duration) in enumerate(self.layout.family_keys[family]):
            if more <= most and duration <= last:
                self._open[family][place][person] |= bit

    def _close(self, family: int, person: int, end: int) -> None:
        keep = ~(1 << end)
        for people in self._open[family]:
            people[person] &= keep

    def _occupy(self, person: int, start: int, end: int) -> None:
        self._free[person] &= ~window(start, end)
        known = self._fit[person]
        for length in known:
            first = start - length + 1
            if first < 0:
                first = 0
            known[length] &= ~(((1 << (end - first)) - 1) << first)

    def _use(self, station: int, start: int, end: int, units: int) -> None:
        levels, span = self._levels[station], window(start, end)
        if not span or not levels:
            return
        for _ in range(units):
            for level in range(len(levels) - 1, 0, -1):
                levels[level] |= levels[level - 1] & span
            levels[0] |= span

    def _release(self, station: int, start: int, end: int, units: int) -> None:
        levels, span = self._levels[station], window(start, end)
        if not span or not levels:
            return
        for _ in range(units):
            for level in range(len(levels) - 1):
                levels[level] &= ~span | levels[level + 1]
            levels[-1] &= ~span

    def hold(self, hold: Hold) -> None:
        """Take the units of a hold whose tasks are placed."""
        self._use(hold.station, *self.hold_span(hold), hold.units)

    def let_go(self, hold: Hold) -> None:
        """Give back the units of a hold whose tasks are still placed."""
        self._release(hold.station, *self.hold_span(hold), hold.units)

    def keep_lost(self, hold: Hold) -> None:
        """Take the units that stay held because the group of a hold is absent."""
        if hold.lost_until is not None and not isinstance(hold.start, Moment):
            self._use(hold.station, hold.start, hold.lost_until, hold.units)

    def hold_span(self, hold: Hold) -> tuple[int, int]:
        """Return the stretch of a hold whose tasks are placed."""
        end = self.layout.problem.horizon if hold.end is None else self._edge(hold.end)
        return self._edge(hold.start), end

    def _edge(self, edge: Moment | int) -> int:
        if isinstance(edge, int):
            return edge
        placed = self.placed[edge.task]
        assert placed is not None
        return placed[AT[edge.anchor]] + edge.offset

    def abandon(self, index: int) -> None:
        """Forget a fact's batch, for its group is absent; its person stays busy."""
        task, placed = self.layout.problem.tasks[index], self.placed[index]
        self.placed[index] = None
        if placed is not None and placed[3] is not None and task.family is not None:
            self._wet.pop((placed[3], placed[2]), None)
            self._close(task.family, placed[3], placed[2])

    def restore(self, index: int, facts: Timetable) -> None:
        """Put back a fact that was abandoned, with its batch as far as facts go."""
        task, placed = self.layout.problem.tasks[index], facts.placed[index]
        self.placed[index] = placed
        if placed is None or placed[3] is None or task.family is None:
            return
        wet = facts._wet.get((placed[3], placed[2]))
        if wet is not None:
            self._wet[placed[3], placed[2]] = wet
            self._offer(task.family, placed[3], placed[2], wet[2], wet[3])

    def drop_lost(self, hold: Hold) -> None:
        """Undo `keep_lost`."""
        if hold.lost_until is not None and not isinstance(hold.start, Moment):
            self._release(hold.station, hold.start, hold.lost_until, hold.units)

    def take_out(self, index: int) -> None:
        """Remove a placed task that no other follows."""
        task, placed = self.layout.problem.tasks[index], self.placed[index]
        assert placed is not None
        start, _, end, person, previous, _ = placed
        self.placed[index] = None
        for station, units in task.demands:
            self._release(station, start, end, units)
        if person is None:
            return
        self._free[person] |= window(start, end)
        self._fit[person].clear()
        if task.family is None:
            return
        _, leader, wet, weight = self._wet.pop((person, end))
        self._close(task.family, person, end)
        if previous is not None:
            self._wet[person, start] = (previous, leader, wet, weight - task.weight)
            self._offer(task.family, person, start, wet, weight - task.weight)

    def placements(self) -> Placements:
        """Return what is placed, frozen."""
        return tuple(None if entry is None else Placement(*entry) for entry in self.placed)
