"""Place a chain of tasks: choose for all of them first, forwards and without going back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.planning.insert_network import insert_network
from floorboard.planning.ready_sets import MOST_PUSHES, ReadySets, best_person, in_the_way
from floorboard.planning.steps import lowest

if TYPE_CHECKING:
    from floorboard.planning.clusters import Cluster
    from floorboard.planning.ready_sets import Choice
    from floorboard.planning.taste import Taste
    from floorboard.planning.timetable import Timetable


def insert_chain(table: Timetable, cluster: Cluster, taste: Taste) -> Timetable | None:
    sets = ReadySets(table, cluster)
    for _ in range(MOST_PUSHES):
        if not sets.possible or not sets.narrow_back():
            return None
        choices = _choose_all(sets, taste)
        if choices is None:
            return None
        if _batch_twice(table, choices):
            return insert_network(table, cluster, taste)
        ready = [choice[0] for choice in choices]
        late = None
        for hold in cluster.holds:
            late = late or in_the_way(sets, hold, ready, choices)
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


def _choose_all(sets: ReadySets, taste: Taste) -> list[Choice] | None:
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


def _mixes_meanwhile(sets: ReadySets, position: int, choice: Choice, choices: list[Choice]) -> bool:
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
    sets: ReadySets, position: int, steps: int, choice: Choice, choices: list[Choice]
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
    return ready, best_person(table, task, ready - task.setup), None, None


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
