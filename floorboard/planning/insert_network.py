"""Place tasks that are no simple chain: one by one on a copy, pushing what stands in the way."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.planning.ready_sets import MOST_PUSHES, LateError, ReadySets, in_the_way
from floorboard.planning.steps import lowest
from floorboard.planning.timetable import AT

if TYPE_CHECKING:
    from floorboard.planning.clusters import Cluster
    from floorboard.planning.ready_sets import Choice
    from floorboard.planning.taste import Taste
    from floorboard.planning.timetable import Timetable


def insert_network(table: Timetable, cluster: Cluster, taste: Taste) -> Timetable | None:
    sets = ReadySets(table, cluster)
    for _ in range(MOST_PUSHES):
        if not sets.possible or not sets.narrow():
            return None
        kept = sets.either[:]
        try:
            return _try_network(sets, table.copy(), taste)
        except LateError as late:
            sets.either = kept
            if not sets.push(late):
                return None
    return None


def _try_network(sets: ReadySets, trial: Timetable, taste: Taste) -> Timetable:
    """Place task by task on a copy; raise `LateError` with the push that would have helped."""
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
                raise LateError(position, choice[0] + 1)
        ready = [choice[0] for choice in choices]
        for hold in cluster.holds:
            late = in_the_way(sets, hold, ready, choices)
            if late is not None:
                raise late
            trial.hold(hold)
        return trial
    finally:
        sets.table = table


def _checked(sets: ReadySets, position: int, steps: int, taste: Taste) -> Choice | None:
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


def _strict_kept(sets: ReadySets, position: int, choice: Choice) -> bool:
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


def _start(sets: ReadySets, index: int, choice: Choice) -> int:
    return choice[0] - sets.tasks[index].setup if choice[2] is None else choice[0]


def _blame(sets: ReadySets, position: int, fresh: int, choices: list[Choice]) -> LateError:
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
        return LateError(-1, 0)
    ready = lowest(later)
    tight: list[tuple[int, int, int]] = []
    for before, _, greatest in sets.cluster.into[position]:
        if greatest is not None and choices[before][0] + greatest < ready:
            tight.append((ready - greatest - choices[before][0], before, ready - greatest))
    if not tight:
        return LateError(0, choices[0][0] + 1) if choices else LateError(-1, 0)
    _, before, wanted = max(tight)
    return LateError(before, wanted)
