"""The moments at which each task of a cluster could be ready, narrowed along its waits."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.planning.hold_length import least_length, moment_offset
from floorboard.planning.network import Anchor, Moment
from floorboard.planning.steps import image, lowest, run_end

if TYPE_CHECKING:
    from floorboard.planning.clusters import Cluster
    from floorboard.planning.layout import Layout
    from floorboard.planning.network import Hold, Task
    from floorboard.planning.taste import Taste
    from floorboard.planning.timetable import Timetable

Choice = tuple[int, int | None, int | None, int | None]
"""`(ready, person, previous, ahead)`, as `Timetable.place` takes them."""

MOST_PUSHES = 60
"""How often a cluster is pushed later before it is given up."""


class LateError(Exception):
    """A position cannot be kept unless another starts at or after a step."""

    def __init__(self, position: int, ready: int) -> None:
        super().__init__(position, ready)
        self.position = position
        self.ready = ready


class ReadySets:
    """The READY moments still possible for each position of a cluster."""

    __slots__ = (
        "ahead",
        "cluster",
        "either",
        "join",
        "layout",
        "lead",
        "place",
        "possible",
        "table",
        "tasks",
    )

    def __init__(self, table: Timetable, cluster: Cluster) -> None:
        self.table = table
        self.layout: Layout = table.layout
        self.cluster = cluster
        self.tasks = table.layout.problem.tasks
        self.place = {task: position for position, task in enumerate(cluster.tasks)}
        self.lead: list[int] = []
        self.join: list[int] = []
        self.ahead: list[int] = []
        self.either: list[int] = []
        self.possible = self._fill()

    def _fill(self) -> bool:
        for index in self.cluster.tasks:
            lead, join, ahead, either = self.fresh(self.table, index)
            if not either:
                return False
            self.lead.append(lead)
            self.join.append(join)
            self.ahead.append(ahead)
            self.either.append(either)
        for position, other, least, greatest in self.cluster.outer:
            placed = self.table.placed[other]
            if placed is not None:
                self.either[position] &= image(1 << placed[1], least, greatest)
        return all(self.either) and self._room_for_holds()

    def fresh(self, table: Timetable, index: int) -> tuple[int, int, int, int]:
        """Return where a task fits a timetable: leading, joining, going ahead, any of them."""
        placed, task = table.placed[index], self.tasks[index]
        if placed is not None:
            return 0, 0, 0, 1 << placed[1]
        lead = self.layout.lead_window[index]
        if task.family is None:
            lead &= table.leading(task) << task.setup
            return lead, 0, 0, lead
        if task.follows is not None:
            join = self._behind(table, index, task.follows) & self.layout.join_window[index]
            return 0, join, 0, join
        join = table.joining(index, task) & self.layout.join_window[index]
        ahead = 0
        if lead:
            ahead = table.preceding(index, task) & lead
            lead &= table.leading(task) << task.setup
        return lead, join, ahead, lead | join | ahead

    def _behind(self, table: Timetable, index: int, first: int) -> int:
        """Return the one moment at which a task can follow the task it has to follow."""
        before = table.placed[first]
        if before is None or before[3] is None:
            return 0
        wet = table.wet_batch(before[3], before[2])
        if wet is None or wet[0] != first:
            return 0
        return 1 << before[2] & table.joining(index, self.tasks[index])

    def _room_for_holds(self) -> bool:
        """Leave only moments from which a hold's units are free for its shortest length."""
        for hold in self.cluster.holds:
            if not isinstance(hold.start, Moment):
                continue
            position = self.place[hold.start.task]
            task = self.tasks[hold.start.task]
            length = least_length(self.layout.problem, self.cluster, hold)
            offset = moment_offset(task, hold.start)
            if length <= 0 or offset is None:
                continue
            room = self.table.station_fits(hold.station, hold.units, length)
            self.either[position] &= room >> offset if offset >= 0 else room << -offset
            if not self.either[position]:
                return False
        return True

    def narrow_back(self) -> bool:
        """Meet every set with the moments from which the later ones can be reached."""
        either = self.either
        for i, j, least, greatest in reversed(self.cluster.arcs):
            back = image(
                either[j],
                None if greatest is None else -greatest,
                None if least is None else -least,
            )
            either[i] &= back
            if not either[i]:
                return False
        return True

    def narrow(self) -> bool:
        """Narrow backwards and forwards until nothing changes (at most four rounds)."""
        either = self.either
        for _ in range(4):
            before = either[:]
            if not self.narrow_back():
                return False
            for i, j, least, greatest in self.cluster.arcs:
                either[j] &= image(either[i], least, greatest)
                if not either[j]:
                    return False
            if either == before:
                return True
        return True

    def push(self, late: LateError) -> bool:
        """Let a position start no earlier than it must; False when that is not possible."""
        if late.position < 0 or self.table.placed[self.cluster.tasks[late.position]] is not None:
            return False
        kept = self.either[late.position] >> late.ready << late.ready
        if kept == self.either[late.position]:
            return False
        self.either[late.position] = kept
        return kept != 0

    def choose(self, position: int, steps: int, taste: Taste) -> Choice | None:
        """Return the earliest moment of a set, or a later one that saves a set-up."""
        index = self.cluster.tasks[position]
        placed = self.table.placed[index]
        if placed is not None:
            at = (placed[1], placed[3], placed[4], None)
            return at if steps >> placed[1] & 1 else None
        task = self.tasks[index]
        lead, join = steps & self.lead[position], steps & self.join[position]
        ahead = steps & self.ahead[position]
        shared = join | ahead
        if shared:
            ready = lowest(shared)
            if not lead or ready <= lowest(lead) + taste.patience:
                if join >> ready & 1:
                    return _ride(self.table, index, task, ready)
                return _take_over(self.table, index, task, ready)
        if not lead:
            return None
        ready = taste.later(lead)
        if not task.people:
            return ready, None, None, None
        return ready, best_person(self.table, task, ready - task.setup), None, None


def _ride(table: Timetable, index: int, task: Task, ready: int) -> Choice:
    for person in task.people:
        if table.joins(index, task, person, ready):
            wet = table.wet_batch(person, ready)
            if wet is not None and (task.follows is None or wet[0] == task.follows):
                return ready, person, wet[0], None
    raise AssertionError("a batch was offered that nobody has")


def _take_over(table: Timetable, index: int, task: Task, ready: int) -> Choice:
    for person in task.people:
        leader = table.precedes(index, task, person, ready)
        if leader is not None:
            return ready, person, None, leader
    raise AssertionError("a batch was offered that nobody has")


def best_person(table: Timetable, task: Task, start: int) -> int:
    """Return the person with the least idle time right before: it keeps long gaps whole."""
    length = task.setup + task.duration
    able = [p for p in task.people if table.person_fits(p, length) >> start & 1]
    if len(able) == 1:
        return able[0]
    return min(able, key=lambda person: table.busy_before(person, start))


def in_the_way(
    sets: ReadySets, hold: Hold, ready: list[int], choices: list[Choice]
) -> LateError | None:
    """Return the push a hold needs, when its units are not free throughout."""
    start, end = _hold_span(sets, hold, ready, choices)
    clash = sets.table.station_full(hold.station, hold.units) >> start << start
    clash &= (1 << end) - 1 if end > 0 else 0
    if not clash:
        return None
    if not isinstance(hold.start, Moment):
        return LateError(-1, 0)
    position = sets.place[hold.start.task]
    clear = run_end(clash, lowest(clash))
    return LateError(position, ready[position] + clear - start)


def _hold_span(
    sets: ReadySets, hold: Hold, ready: list[int], choices: list[Choice]
) -> tuple[int, int]:
    edges = []
    for edge in (hold.start, hold.end):
        if isinstance(edge, Moment):
            position = sets.place[edge.task]
            task = sets.tasks[edge.task]
            offset = edge.offset
            if edge.anchor is Anchor.END:
                offset += task.duration
            elif edge.anchor is Anchor.START and choices[position][2] is None:
                offset -= task.setup
            edges.append(ready[position] + offset)
        else:
            edges.append(sets.layout.problem.horizon if edge is None else edge)
    return max(0, edges[0]), edges[1]
