"""Who is free when, which units are in use, which batches can still take a task.

The mutable board the insertion works on. Time is sets of steps (`steps`): one int per person,
a few per station (`usage`).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from floorboard.planning.network import Anchor, Moment
from floorboard.planning.solution import Placement
from floorboard.planning.steps import fits, window
from floorboard.planning.usage import Usage

if TYPE_CHECKING:
    from floorboard.planning.clusters import Cluster
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

    __slots__ = (
        "_ahead",
        "_fit",
        "_free",
        "_front",
        "_open",
        "_usage",
        "_wet",
        "layout",
        "placed",
    )

    def __init__(self, layout: Layout) -> None:
        problem = layout.problem
        self.layout = layout
        self.placed: list[Placed | None] = [None] * len(problem.tasks)
        self._free = [sum(window(*span) for span in person.stretches) for person in problem.people]
        self._fit: list[dict[int, int]] = [{} for _ in problem.people]
        self._usage = [Usage() for _ in problem.stations]
        # Per family, key and person: the ends of batches that can take a task of that key, and
        # the starts at which such a task could be put in front of a batch to lead it.
        nobody = [0] * len(problem.people)
        self._open = [[nobody[:] for _ in keys] for keys in layout.family_keys]
        self._ahead = [[nobody[:] for _ in keys] for keys in layout.family_keys]
        self._wet: dict[tuple[int, int], Wet] = {}
        # Person and READY of a leader: the end of its batch.
        self._front: dict[tuple[int, int], int] = {}
        for index, station in enumerate(problem.stations):
            for start, end, units in station.taken:
                self._usage[index].add(start, end, units)
        for hold in problem.holds:
            if not isinstance(hold.start, Moment) and not isinstance(hold.end, Moment):
                end = problem.horizon if hold.end is None else hold.end
                self._usage[hold.station].add(hold.start, end, hold.units)

    def copy(self) -> Timetable:
        """Return an independent copy; cheap, for nothing but ints and short lists is copied."""
        other = object.__new__(Timetable)
        other.layout = self.layout
        other.placed = self.placed[:]
        other._free = self._free[:]
        other._fit = [known.copy() for known in self._fit]
        other._usage = [usage.copy() for usage in self._usage]
        other._open = [[people[:] for people in keys] for keys in self._open]
        other._ahead = [[people[:] for people in keys] for keys in self._ahead]
        other._front = self._front.copy()
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

    def preceding(self, index: int, task: Task) -> int:
        """Return the steps at which a task could be ready as the new leader of a batch."""
        assert task.family is not None
        starts = self._ahead[task.family][self.layout.key[index]]
        steps = 0
        if not task.demands:
            for person in task.people:
                if starts[person]:
                    steps |= starts[person] & self.person_fits(person, task.duration)
        return steps << task.setup

    def joins(self, index: int, task: Task, person: int, step: int) -> bool:
        """Return whether a task could follow, at a step, the last of a person's open batch."""
        assert task.family is not None
        ends = self._open[task.family][self.layout.key[index]][person]
        return bool((ends & self.person_fits(person, task.duration)) >> step & 1)

    def precedes(self, index: int, task: Task, person: int, ready: int) -> int | None:
        """Return the leader a task would take over from when ready at a step."""
        assert task.family is not None
        starts = self._ahead[task.family][self.layout.key[index]][person]
        if not (starts & self.person_fits(person, task.duration)) >> (ready - task.setup) & 1:
            return None
        return self._wet[person, self._front[person, ready + task.duration]][1]

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
        used = self.layout.problem.stations[station].capacity - units + 1
        return self._usage[station].at_least(used, self.layout.everything)

    def station_fits(self, station: int, units: int, length: int) -> int:
        """Return the steps at which `units` units are free for `length` steps."""
        if length <= 0:
            return self.layout.everything | 1 << self.layout.problem.horizon
        return fits(self.layout.everything & ~self.station_full(station, units), length)

    def place(
        self,
        index: int,
        ready: int,
        person: int | None,
        previous: int | None,
        ahead: int | None = None,
    ) -> None:
        """Put a task in; the caller has made sure that it fits.

        Parameters
        ----------
        previous
            The task it follows in a batch.
        ahead
            The leader whose batch it is to lead instead.
        """
        task = self.layout.problem.tasks[index]
        if ahead is not None and person is not None:
            self._lead(index, task, ready, person, ahead)
            return
        end = ready + task.duration
        start, leader = (ready - task.setup, index) if previous is None else (ready, index)
        if task.family is not None and person is not None:
            leader = self._extend(index, task, start, end, person, previous)
        if person is not None:
            self._occupy(person, start, end)
        for station, units in task.demands:
            self._usage[station].add(start, end, units)
        self.placed[index] = (start, ready, end, person, previous, leader)

    def _extend(
        self, index: int, task: Task, start: int, end: int, person: int, previous: int | None
    ) -> int:
        """Begin a batch or add to one; return its leader."""
        assert task.family is not None
        leader, wet, weight, first = index, start + task.dry_setup, task.weight, start + task.setup
        before = None if previous is None else self.placed[previous]
        if before is not None:
            # Among facts the steps may not meet exactly, so the batch is found by its last task.
            _, leader, wet, weight = self._wet.pop((person, before[2]), (0, before[5], start, 0))
            weight += task.weight
            chief = self.placed[leader]
            first = start if chief is None else chief[1]
            self._close(task.family, person, before[2], first)
        self._wet[person, end] = (index, leader, wet, weight)
        self._offer(task.family, person, end, first)
        return leader

    def _lead(self, index: int, task: Task, ready: int, person: int, ahead: int) -> None:
        """Put a task in front of a batch: its leader becomes a rider and keeps its READY."""
        old = self.placed[ahead]
        assert old is not None
        assert task.family is not None
        start, end = ready - task.setup, self._front[person, old[1]]
        last, _, _, weight = self._wet[person, end]
        self._close(task.family, person, end, old[1])
        held = self.layout.start_holds.get(ahead, ())
        for hold in held:
            self.let_go(hold)
        for station, units in self.layout.problem.tasks[ahead].demands:
            self._usage[station].remove(old[0], old[1], units)
        at: int | None = last
        while at is not None and (member := self.placed[at]) is not None:
            before = member[4]
            if before is None:
                self.placed[at] = (member[1], *member[1:4], index, index)
            else:
                self.placed[at] = (*member[:5], index)
            at = before
        for hold in held:
            self.hold(hold)
        self._occupy(person, start, start + task.duration)
        self.placed[index] = (start, ready, old[1], person, None, index)
        self._wet[person, end] = (last, index, start + task.dry_setup, weight + task.weight)
        self._offer(task.family, person, end, ready)

    def _offer(self, family: int, person: int, end: int, first: int) -> None:
        """Mark where a batch could take a task: at its end, and in front of its leader.

        Parameters
        ----------
        first
            READY of its leader.
        """
        limits = self.layout.problem.families[family]
        _, leader, wet, weight = self._wet[person, end]
        most, latest, bit = limits.max_weight - weight, limits.max_span + wet - end, 1 << end
        chief = self.layout.problem.tasks[leader]
        front = self.layout.precedable[leader]
        self._front[person, first] = end
        ends, starts = self._open[family], self._ahead[family]
        for place, (more, duration, setup, dry) in enumerate(self.layout.family_keys[family]):
            if more > most:
                continue
            if duration <= latest:
                ends[place][person] |= bit
            start = first - duration - setup
            fits_ahead = end - start - dry <= limits.max_span and start >= 0
            if front and fits_ahead and setup == chief.setup:
                starts[place][person] |= 1 << start

    def _close(self, family: int, person: int, end: int, first: int) -> None:
        """Take back what `_offer` marked."""
        keep = ~(1 << end)
        for people in self._open[family]:
            people[person] &= keep
        starts = self._ahead[family]
        for place, (_, duration, setup, _) in enumerate(self.layout.family_keys[family]):
            start = first - duration - setup
            if start >= 0:
                starts[place][person] &= ~(1 << start)
        self._front.pop((person, first), None)

    def _occupy(self, person: int, start: int, end: int) -> None:
        self._free[person] &= ~window(start, end)
        known = self._fit[person]
        for length in known:
            first = start - length + 1
            if first < 0:
                first = 0
            known[length] &= ~(((1 << (end - first)) - 1) << first)

    def hold(self, hold: Hold) -> None:
        """Take the units of a hold whose tasks are placed."""
        self._usage[hold.station].add(*self.hold_span(hold), hold.units)

    def let_go(self, hold: Hold) -> None:
        """Give back the units of a hold whose tasks are still placed."""
        self._usage[hold.station].remove(*self.hold_span(hold), hold.units)

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

    def lose(self, cluster: Cluster) -> None:
        """Count a cluster with a past as absent, until it is found again.

        Its facts keep their people and stations busy, but nothing may ride on their batches, and
        what stays held when it is lost is held.
        """
        if not cluster.past:
            return
        for index in cluster.tasks:
            self._abandon(index)
        for hold in cluster.holds:
            if hold.lost_until is not None and not isinstance(hold.start, Moment):
                self._usage[hold.station].add(hold.start, hold.lost_until, hold.units)

    def find(self, cluster: Cluster, facts: Timetable) -> None:
        """Undo `lose`, so that the rest of the cluster can be placed.

        Parameters
        ----------
        facts
            The timetable with all the work in hand.
        """
        if not cluster.past:
            return
        for index in cluster.tasks:
            self._restore(index, facts)
        for hold in cluster.holds:
            if hold.lost_until is not None and not isinstance(hold.start, Moment):
                self._usage[hold.station].remove(hold.start, hold.lost_until, hold.units)

    def _abandon(self, index: int) -> None:
        """Forget a fact and its batch; its person stays busy."""
        task, placed = self.layout.problem.tasks[index], self.placed[index]
        self.placed[index] = None
        if placed is None or placed[3] is None or task.family is None:
            return
        if self._wet.pop((placed[3], placed[2]), None) is not None:
            self._close(task.family, placed[3], placed[2], self._first(placed))

    def _restore(self, index: int, facts: Timetable) -> None:
        """Put back a fact, with its batch as far as facts go."""
        task, placed = self.layout.problem.tasks[index], facts.placed[index]
        self.placed[index] = placed
        if placed is None or placed[3] is None or task.family is None:
            return
        wet = facts._wet.get((placed[3], placed[2]))
        if wet is not None and wet[0] == index:
            self._wet[placed[3], placed[2]] = wet
            self._offer(task.family, placed[3], placed[2], facts._first(placed))

    def _first(self, placed: Placed) -> int:
        """Return READY of the leader of a placed task's batch."""
        leader = self.placed[placed[5]]
        return placed[1] if leader is None else leader[1]

    def could_lead(self, index: int) -> bool:
        """Return whether a rider could have its own set-up where the task before it is now."""
        layout, heir = self.layout, self.placed[index]
        assert heir is not None
        before, leader = None if heir[4] is None else self.placed[heir[4]], self.placed[heir[5]]
        if heir[4] is None or before is None or leader is None or not layout.precedable[index]:
            return False
        tasks = layout.problem.tasks
        task, start = tasks[index], heir[1] - tasks[index].setup
        return (
            task.follows is None
            and start >= before[0]
            and start + task.dry_setup >= leader[0] + tasks[heir[5]].dry_setup
            and bool(layout.lead_window[index] >> heir[1] & 1)
            and index not in layout.start_holds
            and set(task.demands) <= set(tasks[heir[4]].demands)
        )

    def take_out(self, index: int, rider: int | None = None) -> None:
        """Remove a placed task.

        Parameters
        ----------
        rider
            The task that follows it in a batch, one that `could_lead`: it makes a batch of its
            own, with what follows it.
        """
        if rider is not None:
            self._part(index, rider)
        task, placed = self.layout.problem.tasks[index], self.placed[index]
        assert placed is not None
        start, _, end, person, previous, _ = placed
        self.placed[index] = None
        for station, units in task.demands:
            self._usage[station].remove(start, end, units)
        if person is None:
            return
        self._free[person] |= window(start, end)
        self._fit[person].clear()
        if task.family is None:
            return
        _, leader, wet, weight = self._wet.pop((person, end))
        chief = placed if leader == index else self.placed[leader]
        first = start if chief is None else chief[1]
        self._close(task.family, person, end, first)
        if previous is not None:
            self._wet[person, start] = (previous, leader, wet, weight - task.weight)
            self._offer(task.family, person, start, first)
        if rider is not None:
            self._set_up(rider)

    def _part(self, index: int, rider: int) -> None:
        """Make two batches of one: what follows a task, and the rest."""
        tasks, placed, heir = self.layout.problem.tasks, self.placed[index], self.placed[rider]
        assert placed is not None
        assert heir is not None
        person, family, leader = heir[3], tasks[rider].family, placed[5]
        assert person is not None
        assert family is not None
        first = self._first(placed)
        end = self._front[person, first]
        last, _, wet, weight = self._wet.pop((person, end))
        self._close(family, person, end, first)
        behind, at = 0, last
        while at != index:
            member = self.placed[at]
            assert member is not None
            assert member[4] is not None
            behind += tasks[at].weight
            self.placed[at] = (*member[:5], rider)
            at = member[4]
        start = heir[1] - tasks[rider].setup
        self.placed[rider] = (start, *heir[1:4], None, rider)
        self._wet[person, end] = (last, rider, start + tasks[rider].dry_setup, behind)
        self._offer(family, person, end, heir[1])
        self._wet[person, placed[2]] = (index, leader, wet, weight - behind)
        self._offer(family, person, placed[2], first)

    def _set_up(self, index: int) -> None:
        """Take the person and the stations for the set-up of a task that has come to lead."""
        placed = self.placed[index]
        assert placed is not None
        assert placed[3] is not None
        self._occupy(placed[3], placed[0], placed[1])
        for station, units in self.layout.problem.tasks[index].demands:
            self._usage[station].add(placed[0], placed[1], units)

    def placements(self) -> Placements:
        """Return what is placed, frozen."""
        return tuple(None if entry is None else Placement(*entry) for entry in self.placed)
