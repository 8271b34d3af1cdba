"""Keep of a plan what still fits, and insert the rest.

After a log entry most of the plan people follow is still good. It is rebuilt task by task in time
order; a cluster of which one task no longer fits is taken out whole, with all that rode on its
batches, and inserted anew.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.planning.board import Board, board_of
from floorboard.planning.insertion import blank_of, extend, loss_of, saved_first
from floorboard.planning.steps import window
from floorboard.planning.timetable import AT

if TYPE_CHECKING:
    from floorboard.planning.clusters import Cluster
    from floorboard.planning.network import Lag
    from floorboard.planning.solution import Placement, Placements
    from floorboard.planning.taste import Taste
    from floorboard.planning.timetable import Timetable


MOST_PASSES = 6
"""How often the plan is rebuilt without what did not fit, before it is planned anew."""


def follow(
    facts: Timetable, order: list[int], followed: Placements, taste: Taste
) -> tuple[Timetable, list[int]]:
    """Return a timetable near the followed plan, and the clusters it leaves out.

    When following costs something in hand, the whole is planned anew and the better is taken.
    """
    table, kept = _kept(facts, followed)
    table, left_out = extend(table, facts, [index for index in order if index not in kept], taste)
    if loss_of(facts.layout, left_out):
        anew, anew_left_out = saved_first(facts, order, taste)
        if loss_of(facts.layout, anew_left_out) < loss_of(facts.layout, left_out):
            return anew, anew_left_out
    return table, left_out


def board_of_plan(facts: Timetable, placements: Placements) -> Board:
    """Return the board of a schedule that keeps every rule, just as it is."""
    table, kept = _kept(facts, placements)
    layout = facts.layout
    left_out = [index for index in range(len(layout.clusters)) if index not in kept]
    return board_of(table, left_out)


def _kept(facts: Timetable, followed: Placements) -> tuple[Timetable, set[int]]:
    """Return a timetable with what still fits of a plan, and the clusters in it."""
    layout = facts.layout
    whole = {
        index
        for index, cluster in enumerate(layout.clusters)
        if all(_known(facts, followed, task) for task in cluster.tasks)
    }
    for _ in range(MOST_PASSES):
        table = blank_of(facts)
        broken = _rebuild(table, facts, followed, whole)
        if not broken:
            return table, whole
        whole -= broken
    return blank_of(facts), set()


def _known(facts: Timetable, followed: Placements, task: int) -> bool:
    return facts.placed[task] is not None or (task < len(followed) and followed[task] is not None)


def _rebuild(table: Timetable, facts: Timetable, followed: Placements, whole: set[int]) -> set[int]:
    """Place the tasks of the clusters given as in the plan; return the clusters that broke."""
    layout = table.layout
    wanted = []
    for index in whole:
        table.find(layout.clusters[index], facts)
        for task in layout.clusters[index].tasks:
            placement = followed[task] if table.placed[task] is None else None
            if placement is not None:
                wanted.append((placement.start, task))
    broken: set[int] = set()
    for _, task in sorted(wanted):
        placement = followed[task]
        assert placement is not None
        if layout.home[task] in broken or not _fits(table, task, placement):
            broken.add(layout.home[task])
        else:
            table.place(task, placement.ready, placement.person, placement.previous)
    for index in sorted(whole - broken):
        if not _waits_kept(table, layout.clusters[index], whole):
            broken.add(index)
            continue
        for hold in layout.clusters[index].holds:
            start, end = table.hold_span(hold)
            if table.station_full(hold.station, hold.units) & window(start, end):
                broken.add(index)
            table.hold(hold)
    return broken


def _fits(table: Timetable, task: int, placement: Placement) -> bool:
    """Return whether a task can be where the plan has it."""
    layout, entry, person = table.layout, table.layout.problem.tasks[task], placement.person
    ready, start = placement.ready, placement.start
    if (person is None) is not (not entry.people) or ready != start + (
        entry.setup if placement.previous is None else 0
    ):
        return False
    for station, units in entry.demands:
        span = window(start, ready + entry.duration)
        if units and table.station_full(station, units) & span:
            return False
    if placement.previous is None:
        if not layout.lead_window[task] >> ready & 1 or start < 0:
            return False
        length = entry.setup + entry.duration
        return person is None or (
            person in entry.people and bool(table.person_fits(person, length) >> start & 1)
        )
    if person is None or person not in entry.people or not layout.join_window[task] >> ready & 1:
        return False
    if entry.follows not in (None, placement.previous):
        return False
    wet = table.wet_batch(person, ready)
    return (
        wet is not None and wet[0] == placement.previous and table.joins(task, entry, person, ready)
    )


def _waits_kept(table: Timetable, cluster: Cluster, whole: set[int]) -> bool:
    """Return whether the waits of a placed cluster hold, also to other clusters."""
    placed, tasks, layout = table.placed, cluster.tasks, table.layout
    for i, j, least, greatest in cluster.arcs:
        first, second = placed[tasks[i]], placed[tasks[j]]
        assert first is not None
        assert second is not None
        if not _between(second[1] - first[1], least, greatest):
            return False
    for position, other, least, greatest in cluster.outer:
        first, second = placed[other], placed[tasks[position]]
        assert second is not None
        known = first is not None and (
            layout.home[other] in whole or layout.problem.tasks[other].fixed_start is not None
        )
        if known and first is not None and not _between(second[1] - first[1], least, greatest):
            return False
    return all(_strict_kept(table, lag) for lag in cluster.strict)


def _strict_kept(table: Timetable, lag: Lag) -> bool:
    first, second = table.placed[lag.before], table.placed[lag.after]
    if first is None or second is None:
        return True
    wait = second[AT[lag.after_anchor]] - first[AT[lag.before_anchor]]
    return _between(wait, lag.least, lag.greatest)


def _between(wait: int, least: int | None, greatest: int | None) -> bool:
    return (least is None or wait >= least) and (greatest is None or wait <= greatest)
