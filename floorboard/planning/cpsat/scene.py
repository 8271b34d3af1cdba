"""What of a problem is to be decided by one solve, and what is constant in it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from floorboard.planning.alike import alike_kinds
from floorboard.planning.crews import Crew, crews_of
from floorboard.planning.hold_length import least_length, moment_offset
from floorboard.planning.network import Moment
from floorboard.planning.steps import fits, highest, image, lowest, window
from floorboard.planning.timetable import AT

if TYPE_CHECKING:
    from floorboard.planning.clusters import Cluster
    from floorboard.planning.layout import Layout
    from floorboard.planning.network import Hold, Problem
    from floorboard.planning.timetable import Placed, Timetable

Block = tuple[int, int, int]
"""`(start, end, units)` that are taken whatever is decided."""


@dataclass(slots=True)
class Scene:
    """A problem with some clusters free and all else constant.

    Parameters
    ----------
    free
        Clusters to be decided (whether, when, by whom).
    constant
        Per task where it is when it is not to be decided: facts, and the tasks of clusters that
        stay; None for a free task and for a task that is absent.
    facts
        Per task where it is when it is work in hand.
    hands_taken
        Crew -> the hands that are not there to be planned (breaks take all of them).
    domains
        READY moments of the free tasks, as sets of steps; a cluster one of whose sets would be
        empty is not possible and is in `impossible` instead.
    """

    layout: Layout
    free: tuple[int, ...]
    constant: list[Placed | None]
    facts: list[Placed | None]
    crews: tuple[Crew, ...]
    crew_of: dict[int, int] = field(default_factory=dict)
    domains: dict[int, int] = field(default_factory=dict)
    impossible: set[int] = field(default_factory=set)
    hands_taken: dict[int, list[Block]] = field(default_factory=dict)

    @property
    def problem(self) -> Problem:
        """Return the problem the scene is of."""
        return self.layout.problem

    def is_free(self, task: int) -> bool:
        """Return whether a task is to be decided."""
        return task in self.domains

    def ready_steps(self, task: int) -> int:
        """Return the READY moments of a task, free or constant."""
        placed = self.constant[task]
        return self.domains[task] if placed is None else 1 << placed[1]

    def ready_first(self, task: int) -> int:
        """Return the earliest READY of a task."""
        return lowest(self.ready_steps(task))

    def ready_last(self, task: int) -> int:
        """Return the latest READY of a task."""
        return highest(self.ready_steps(task))

    def first_start(self, task: int) -> int:
        """Return the earliest START of a free task, with its own set-up if it may have one."""
        entry = self.problem.tasks[task]
        setup = 0 if entry.follows is not None else entry.setup
        earliest = lowest(self.domains[task]) - setup
        return max(earliest, self.problem.release(task)) if entry.family is not None else earliest

    def last_end(self, task: int) -> int:
        """Return the latest END of a free task."""
        return highest(self.domains[task]) + self.problem.tasks[task].duration

    def ends_batch(self, task: int) -> bool:
        """Return whether a constant task is the last of a batch that may still be joined."""
        placed = self.constant[task]
        if placed is None or placed[3] is None or placed[2] < self.problem.now:
            return False
        return not any(entry is not None and entry[4] == task for entry in self.constant)

    def batch_so_far(self, task: int) -> tuple[int, int]:
        """Return the age and the load of the batch of a constant task at its END."""
        placed = self.constant[task]
        if placed is None or self.problem.tasks[task].family is None:
            return 0, 0
        load, at, tasks = 0, placed, self.problem.tasks
        index: int | None = task
        leader = task
        while index is not None and (entry := self.constant[index]) is not None:
            load, at, leader = load + tasks[index].weight, entry, index
            index = entry[4]
        return placed[2] - at[0] - tasks[leader].dry_setup, load

    def kept_apart(self, before: int, after: int) -> bool:
        """Return whether the waits of one cluster forbid that a task comes right after another."""
        home = self.layout.home[before]
        if home != self.layout.home[after]:
            return False
        cluster = self.layout.clusters[home]
        i, j = cluster.tasks.index(before), cluster.tasks.index(after)
        if i > j:
            return cluster.chain
        duration = self.problem.tasks[before].duration
        return any(
            (a, b) == (i, j) and least is not None and least > duration
            for a, b, least, _ in cluster.arcs
        )

    def station_room(self, station: int, units: int) -> int:
        """Return the steps at which so many units of a station are free of constants."""
        steps, capacity = window(0, self.problem.horizon), self.problem.stations[station].capacity
        for start, end, used in station_blocks(self, station):
            if used + units > capacity:
                steps &= ~window(start, end)
        return steps

    def alike_free(self) -> list[list[int]]:
        """Return the free clusters of every kind of interchangeable groups, in order."""
        kinds = []
        for clusters in alike_kinds(self.layout).values():
            chosen = [i for i in clusters if i in self.free and i not in self.impossible]
            if len(chosen) > 1:
                kinds.append(chosen)
        return kinds


def scene_of(facts: Timetable, free: tuple[int, ...], stay: Timetable | None = None) -> Scene:
    """Return the scene in which the clusters given are free.

    Parameters
    ----------
    facts
        The timetable with only the work in hand.
    stay
        The timetable whose other clusters stay as they are; None when all clusters are free.
    """
    layout = facts.layout
    constant: list[Placed | None] = facts.placed[:] if stay is None else stay.placed[:]
    for index in free:
        for task in layout.clusters[index].tasks:
            constant[task] = facts.placed[task]
    scene = Scene(layout, free, constant, facts.placed, crews_of(layout.problem))
    scene.crew_of = {p: index for index, crew in enumerate(scene.crews) for p in crew.people}
    busy = _busy(scene)
    for index, crew in enumerate(scene.crews):
        spans = [span for person in crew.people for span in busy[person]]
        scene.hands_taken[index] = profile(spans, len(crew.people))
    _fill_domains(scene)
    return scene


def _busy(scene: Scene) -> list[list[tuple[int, int, int]]]:
    """Return the work of every person that is constant, breaks included as all hands taken."""
    problem = scene.problem
    spans: list[list[tuple[int, int, int]]] = [[] for _ in problem.people]
    for index, crew in enumerate(scene.crews):
        del index
        open_steps = sum(window(*span) for span in crew.stretches)
        at = 0
        for start, end in crew.stretches:
            if start > at:
                spans[crew.people[0]].append((at, start, len(crew.people)))
            at = end
        if at < problem.horizon and open_steps >= 0:
            spans[crew.people[0]].append((at, problem.horizon, len(crew.people)))
    for task, placed in enumerate(scene.constant):
        # Work in hand keeps its person busy even when its group is given up.
        held = placed if placed is not None else scene.facts[task]
        if held is not None and held[3] is not None:
            spans[held[3]].append((held[0], held[2], 1))
    return spans


def profile(spans: list[tuple[int, int, int]], capacity: int) -> list[Block]:
    """Return blocks of equal use, clipped to the capacity, in order and without overlap."""
    changes: dict[int, int] = {}
    for start, end, units in spans:
        if end > start:
            changes[start] = changes.get(start, 0) + units
            changes[end] = changes.get(end, 0) - units
    blocks: list[Block] = []
    used, since = 0, 0
    for step in sorted(changes):
        level = min(used, capacity)
        if level and step > since:
            if blocks and blocks[-1][1] == since and blocks[-1][2] == level:
                blocks[-1] = (blocks[-1][0], step, level)
            else:
                blocks.append((since, step, level))
        used, since = used + changes[step], step
    return blocks


def _fill_domains(scene: Scene) -> None:
    hands = [_open_steps(scene, index) for index in range(len(scene.crews))]
    rooms: dict[tuple[int, int], int] = {}
    for demand in {demand for task in scene.problem.tasks for demand in task.demands}:
        rooms[demand] = scene.station_room(*demand)
    sets_of: dict[int, list[int]] = {}
    for index in scene.free:
        cluster = scene.layout.clusters[index]
        sets = [_domain(scene, task, hands, rooms) for task in cluster.tasks]
        if _outer_met(scene, cluster, sets) and _narrowed(cluster, sets):
            sets_of[index] = sets
        else:
            scene.impossible.add(index)
    for clusters in scene.alike_free():
        _take_turns(scene, clusters, sets_of)
    for index, sets in sets_of.items():
        if index not in scene.impossible:
            for task, steps in zip(scene.layout.clusters[index].tasks, sets, strict=True):
                if scene.problem.tasks[task].fixed_start is None:
                    scene.domains[task] = steps


def _take_turns(scene: Scene, clusters: list[int], sets_of: dict[int, list[int]]) -> None:
    """Let the later of interchangeable groups wait for their turn at what they hold.

    With n units, group k + n begins to hold one no earlier than group k can be done with it.
    """
    layout = scene.layout
    for place, hold in enumerate(layout.clusters[clusters[0]].holds):
        capacity = scene.problem.stations[hold.station].capacity
        length = least_length(scene.problem, layout.clusters[clusters[0]], hold)
        if hold.units != 1 or capacity < 1 or length <= 0:
            continue
        for one, other in zip(clusters, clusters[capacity:], strict=False):
            if one in scene.impossible:
                scene.impossible.add(other)
                continue
            cluster = layout.clusters[other]
            first = layout.clusters[one].holds[place].start
            start = cluster.holds[place].start
            assert isinstance(first, Moment)
            assert isinstance(start, Moment)
            if moment_offset(scene.problem.tasks[start.task], start) is None:
                continue
            at = layout.clusters[one].tasks.index(first.task)
            earliest = lowest(sets_of[one][at]) + length
            position = cluster.tasks.index(start.task)
            sets = sets_of[other]
            sets[position] = sets[position] >> earliest << earliest
            if not sets[position] or not _narrowed(cluster, sets):
                scene.impossible.add(other)


def _open_steps(scene: Scene, crew: int) -> int:
    steps = window(0, scene.problem.horizon)
    for start, end, units in scene.hands_taken[crew]:
        if units >= len(scene.crews[crew].people):
            steps &= ~window(start, end)
    return steps


def station_blocks(scene: Scene, station: int) -> list[Block]:
    """Return the use of a station that is constant, clipped to its capacity."""
    problem = scene.problem
    spans = list(problem.stations[station].taken)
    for task, stays in enumerate(scene.constant):
        placed = stays if stays is not None else scene.facts[task]
        if placed is None or scene.is_free(task):
            continue
        spans += [(placed[0], placed[2], n) for s, n in problem.tasks[task].demands if s == station]
    free = set(scene.free)
    for hold in problem.holds:
        if hold.station == station and not names_free(scene, hold, free):
            held = constant_hold(scene, hold)
            if held is not None:
                spans.append((*held, hold.units))
    return profile(spans, problem.stations[station].capacity)


def names_free(scene: Scene, hold: Hold, free: set[int]) -> bool:
    """Return whether a hold depends on a cluster that is free."""
    return any(
        isinstance(edge, Moment) and scene.layout.home[edge.task] in free
        for edge in (hold.start, hold.end)
    )


def constant_hold(scene: Scene, hold: Hold) -> tuple[int, int] | None:
    """Return the stretch of a hold that depends on nothing free, None when it does not apply."""
    edges: list[int] = []
    for edge in (hold.start, hold.end):
        if isinstance(edge, Moment):
            placed = scene.constant[edge.task]
            if placed is None:
                lost = hold.lost_until is not None and isinstance(hold.start, int)
                return (hold.start, hold.lost_until) if lost else None  # type: ignore[return-value]
            edges.append(placed[AT[edge.anchor]] + edge.offset)
        else:
            edges.append(scene.problem.horizon if edge is None else edge)
    return edges[0], edges[1]


def _domain(scene: Scene, task: int, hands: list[int], rooms: dict[tuple[int, int], int]) -> int:
    placed, entry = scene.constant[task], scene.problem.tasks[task]
    if placed is not None:
        return 1 << placed[1]
    layout, either = scene.layout, 0
    for own, allowed in ((True, layout.lead_window[task]), (False, layout.join_window[task])):
        setup = entry.setup if own else 0
        length = setup + entry.duration
        starts = allowed >> setup
        if entry.people:
            crews = {scene.crew_of[person] for person in entry.people}
            able = 0
            for crew in crews:
                able |= fits(hands[crew], length)
            starts &= able
        for station, units in entry.demands:
            if units and length:
                starts &= fits(rooms[station, units], length)
        either |= starts << setup
    return either


def _outer_met(scene: Scene, cluster: Cluster, sets: list[int]) -> bool:
    for position, other, least, greatest in cluster.outer:
        placed = scene.constant[other]
        if placed is not None and scene.layout.home[other] not in scene.free:
            sets[position] &= image(1 << placed[1], least, greatest)
    return all(sets)


def _narrowed(cluster: Cluster, sets: list[int]) -> bool:
    """Narrow the sets along the waits; False when one is empty."""
    for _ in range(8):
        before = sets[:]
        for i, j, least, greatest in cluster.arcs:
            sets[j] &= image(sets[i], least, greatest)
            if not sets[j]:
                return False
        for i, j, least, greatest in reversed(cluster.arcs):
            back_least = None if greatest is None else -greatest
            sets[i] &= image(sets[j], back_least, None if least is None else -least)
            if not sets[i]:
                return False
        if sets == before:
            break
    return True
