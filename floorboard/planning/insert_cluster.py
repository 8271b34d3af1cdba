"""Place one cluster of tasks into a timetable, with all its waits and holds, or not at all.

Every task has a set of READY moments at which it fits the timetable. Working backwards along the
waits, each set is met with the moments from which all later tasks can still be reached; for a
chain of tasks that makes the earliest moment left for the first task provably completable, and
the tasks are then placed forwards without going back. Clusters that are no chain, and holds that
turn out to be in the way, push a task later and start again.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from floorboard.planning.hold_length import least_length, moment_offset
from floorboard.planning.network import Anchor, Hold, Moment
from floorboard.planning.steps import image, lowest, run_end
from floorboard.planning.timetable import AT

if TYPE_CHECKING:
    import random

    from floorboard.planning.layout import Cluster, Layout
    from floorboard.planning.network import Task
    from floorboard.planning.timetable import Timetable

Choice = tuple[int, int | None, int | None, int | None]
"""`(ready, person, previous, ahead)`, as `Timetable.place` takes them."""

MOST_PUSHES = 60
"""How often a cluster is pushed later before it is given up."""


@dataclass(frozen=True, slots=True)
class Taste:
    """How a place is chosen among those that fit.

    Parameters
    ----------
    patience
        Steps a task may be later to ride on a batch instead of having its own set-up.
    delay, share, rng
        A share of the tasks is put up to `delay` steps later than need be, drawn by `rng`: a
        gap now may be a shared batch later. Without `rng` every task is as early as it can be.
    """

    patience: int = 10
    delay: int = 0
    share: float = 0.0
    rng: random.Random | None = None

    def later(self, steps: int) -> int:
        """Return the first step of a set, or now and then one a little later."""
        ready = lowest(steps)
        if self.rng is not None and self.rng.random() < self.share:
            at = ready + self.rng.randint(1, self.delay)
            if steps >> at:
                return at + lowest(steps >> at)
        return ready


class _LateError(Exception):
    """A position cannot be kept unless another starts at or after a step."""

    def __init__(self, position: int, ready: int) -> None:
        super().__init__(position, ready)
        self.position = position
        self.ready = ready


def insert(table: Timetable, cluster: Cluster, taste: Taste) -> Timetable | None:
    """Return the timetable with the cluster in it, None when it was not possible.

    The timetable given is changed and returned, or left alone and replaced by a changed copy.
    """
    if cluster.simple:
        return _insert_chain(table, cluster, taste)
    return _insert_network(table, cluster, taste)


def _insert_chain(table: Timetable, cluster: Cluster, taste: Taste) -> Timetable | None:
    sets = _Sets(table, cluster)
    for _ in range(MOST_PUSHES):
        if not sets.possible or not sets.narrow_back():
            return None
        choices = _choose_all(sets, taste)
        if choices is None:
            return None
        if _batch_twice(table, choices):
            return _insert_network(table, cluster, taste)
        ready = [choice[0] for choice in choices]
        late = None
        for hold in cluster.holds:
            late = late or _in_the_way(sets, hold, ready, choices)
        if late is None:
            for task, choice in zip(cluster.tasks, choices, strict=True):
                if table.placed[task] is None:
                    table.place(task, *choice)
            for hold in cluster.holds:
                table.hold(hold)
            return table
        if not sets.push(late):
            return None
    return None


def _choose_all(sets: _Sets, taste: Taste) -> list[Choice] | None:
    choices: list[Choice] = []
    for position in range(len(sets.cluster.tasks)):
        steps = sets.either[position]
        for before, least, greatest in sets.cluster.into[position]:
            ready = choices[before][0]
            if least is not None and ready + least > 0:
                steps = steps >> (ready + least) << (ready + least)
            if greatest is not None:
                steps &= (1 << max(0, ready + greatest + 1)) - 1
        choice = sets.choose(position, steps, taste)
        if choice is not None and position and _mixes_meanwhile(sets, position, choice, choices):
            choice = _with_other_hands(sets, position, steps, choice, choices)
        if choice is None:
            return None
        choices.append(choice)
    return choices


def _mixes_meanwhile(sets: _Sets, position: int, choice: Choice, choices: list[Choice]) -> bool:
    """Return whether a set-up begins while its person still works on a task before."""
    if choice[1] is None or choice[2] is not None:
        return False
    tasks = sets.cluster.tasks
    start = choice[0] - sets.tasks[tasks[position]].setup
    for before in range(position - 1, -1, -1):
        ready, person, _, _ = choices[before]
        if ready + sets.tasks[tasks[before]].duration <= start:
            return False
        if person == choice[1]:
            return True
    return False


def _with_other_hands(
    sets: _Sets, position: int, steps: int, choice: Choice, choices: list[Choice]
) -> Choice | None:
    """Return another person for a task, or a later moment at which its person is free."""
    index = sets.cluster.tasks[position]
    task, table = sets.tasks[index], sets.table
    length, start = task.setup + task.duration, choice[0] - task.setup
    if choice[3] is None:
        for person in task.people:
            if table.person_fits(person, length) >> start & 1:
                other = (choice[0], person, None, None)
                if not _mixes_meanwhile(sets, position, other, choices):
                    return other
    before = choices[position - 1][0] + sets.tasks[sets.cluster.tasks[position - 1]].duration
    clear = before + task.setup
    lead = (steps & sets.lead[position]) >> clear
    if not lead:
        return None
    ready = clear + lowest(lead)
    return ready, _best_person(table, task, ready - task.setup), None, None


def _batch_twice(table: Timetable, choices: list[Choice]) -> bool:
    """Return whether two tasks were offered room in the same batch, which may not fit both."""
    leaders: list[int] = []
    for ready, person, previous, ahead in choices:
        if ahead is not None:
            leaders.append(ahead)
        elif previous is not None and person is not None:
            wet = table.wet_batch(person, ready)
            leaders.append(previous if wet is None else wet[1])
    return len(leaders) > len(set(leaders))


def _in_the_way(
    sets: _Sets, hold: Hold, ready: list[int], choices: list[Choice]
) -> _LateError | None:
    """Return the push a hold needs, when its units are not free throughout."""
    start, end = _hold_span(sets, hold, ready, choices)
    clash = sets.table.station_full(hold.station, hold.units) >> start << start
    clash &= (1 << end) - 1 if end > 0 else 0
    if not clash:
        return None
    if not isinstance(hold.start, Moment):
        return _LateError(-1, 0)
    position = sets.place[hold.start.task]
    clear = run_end(clash, lowest(clash))
    return _LateError(position, ready[position] + clear - start)


def _hold_span(sets: _Sets, hold: Hold, ready: list[int], choices: list[Choice]) -> tuple[int, int]:
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


class _Sets:
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

    def push(self, late: _LateError) -> bool:
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
        return ready, _best_person(self.table, task, ready - task.setup), None, None


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


def _best_person(table: Timetable, task: Task, start: int) -> int:
    """Return the person with the least idle time right before: it keeps long gaps whole."""
    length = task.setup + task.duration
    able = [p for p in task.people if table.person_fits(p, length) >> start & 1]
    if len(able) == 1:
        return able[0]
    return min(able, key=lambda person: table.busy_before(person, start))


def _insert_network(table: Timetable, cluster: Cluster, taste: Taste) -> Timetable | None:
    sets = _Sets(table, cluster)
    for _ in range(MOST_PUSHES):
        if not sets.possible or not sets.narrow():
            return None
        kept = sets.either[:]
        try:
            return _try_network(sets, table.copy(), taste)
        except _LateError as late:
            sets.either = kept
            if not sets.push(late):
                return None
    return None


def _try_network(sets: _Sets, trial: Timetable, taste: Taste) -> Timetable:
    """Place task by task on a copy; raise `_LateError` with the push that would have helped."""
    table, cluster = sets.table, sets.cluster
    sets.table = trial
    try:
        choices: list[Choice] = []
        for position, index in enumerate(cluster.tasks):
            lead, join, ahead, fresh = sets.fresh(trial, index)
            sets.lead[position], sets.join[position], sets.ahead[position] = lead, join, ahead
            choice = _checked(sets, position, sets.either[position] & fresh, taste)
            if choice is None:
                raise _blame(sets, position, fresh, choices)
            choices.append(choice)
            if trial.placed[index] is None:
                trial.place(index, *choice)
            sets.either[position] = 1 << choice[0]
            if not sets.narrow():
                raise _LateError(position, choice[0] + 1)
        ready = [choice[0] for choice in choices]
        for hold in cluster.holds:
            late = _in_the_way(sets, hold, ready, choices)
            if late is not None:
                raise late
            trial.hold(hold)
        return trial
    finally:
        sets.table = table


def _checked(sets: _Sets, position: int, steps: int, taste: Taste) -> Choice | None:
    """Choose a moment at which the waits tied to START hold too."""
    for _ in range(MOST_PUSHES):
        choice = sets.choose(position, steps, taste)
        if choice is None or not sets.cluster.strict:
            return choice
        if _strict_kept(sets, position, choice):
            return choice
        barred = ~(1 << choice[0])
        if choice[2] is not None:
            sets.join[position] &= barred
        elif choice[3] is not None:
            sets.ahead[position] &= barred
        else:
            sets.lead[position] &= barred
        steps &= sets.lead[position] | sets.join[position] | sets.ahead[position]
    return None


def _strict_kept(sets: _Sets, position: int, choice: Choice) -> bool:
    index = sets.cluster.tasks[position]
    own = (_start(sets, index, choice), choice[0], choice[0] + sets.tasks[index].duration)
    for lag in sets.cluster.strict:
        if index not in (lag.before, lag.after):
            continue
        other = lag.after if index == lag.before else lag.before
        placed = sets.table.placed[other]
        if placed is None:
            continue
        first, second = (own, placed) if index == lag.before else (placed, own)
        wait = second[AT[lag.after_anchor]] - first[AT[lag.before_anchor]]
        if (lag.least is not None and wait < lag.least) or (
            lag.greatest is not None and wait > lag.greatest
        ):
            return False
    return True


def _start(sets: _Sets, index: int, choice: Choice) -> int:
    return choice[0] - sets.tasks[index].setup if choice[2] is None else choice[0]


def _blame(sets: _Sets, position: int, fresh: int, choices: list[Choice]) -> _LateError:
    """Say which task placed before would have to be later for a position to fit."""
    least = max(
        (
            choices[before][0] + low
            for before, low, _ in sets.cluster.into[position]
            if low is not None
        ),
        default=0,
    )
    later = fresh >> max(0, least) << max(0, least)
    if not later:
        return _LateError(-1, 0)
    ready = lowest(later)
    tight: list[tuple[int, int, int]] = []
    for before, _, greatest in sets.cluster.into[position]:
        if greatest is not None and choices[before][0] + greatest < ready:
            tight.append((ready - greatest - choices[before][0], before, ready - greatest))
    if not tight:
        return _LateError(0, choices[0][0] + 1) if choices else _LateError(-1, 0)
    _, before, wanted = max(tight)
    return _LateError(before, wanted)


def closing(table: Timetable, cluster: Cluster) -> int:
    """Return the last moment at which the first free task of a cluster can still be ready."""
    sets = _Sets(table, cluster)
    if not sets.possible or not sets.narrow():
        return 0
    for position, index in enumerate(cluster.tasks):
        if table.placed[index] is None:
            return sets.either[position].bit_length()
    return 0
