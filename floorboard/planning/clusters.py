"""The tasks of a network in clusters that are placed together, with arcs between their pours.

A cluster is a group, or mandatory tasks linked by waits. Inside a cluster every wait becomes an
arc on the READY moments of two tasks. READY is chosen because it is the moment that does not
depend on whether a task has its own set-up; a wait tied to the START of a task that may ride on a
batch is widened in the arc and verified when the task is placed.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from floorboard.planning.network import Anchor, Goal, Moment

if TYPE_CHECKING:
    from floorboard.planning.network import Hold, Lag, Problem, Task

Arc = tuple[int, int, int | None, int | None]
"""`(i, j, least, greatest)`: bounds of READY(j) - READY(i)."""


@dataclass(frozen=True, slots=True)
class Cluster:
    """Tasks placed together.

    Parameters
    ----------
    group
        Index of the group, None for mandatory tasks.
    tasks
        In the order of placing (earliest first by the waits alone).
    arcs
        Between positions of `tasks`, the first lower than the second, in order.
    into
        The same arcs by their second position: `(first position, least, greatest)`.
    outer
        Waits to tasks of other clusters: `(position, other task, least, greatest)` as an arc
        from the other task.
    strict
        Waits that an arc only widens.
    holds
        Holds that name a task of the cluster.
    chain
        Whether each task is READY no earlier than the END of the one before.
    tree
        Whether the waits are exact and tie each task to at most one before it, so that moments
        narrowed along them can all be kept.
    simple
        A chain whose waits are exact and whose holds and demands cannot be in one another's way,
        so that all its tasks can be chosen before any is placed.
    past
        Whether it has work in hand, or holds that stay when it is absent.
    earliest
        READY of each task by releases and waits alone.
    """

    group: int | None
    tasks: tuple[int, ...]
    arcs: tuple[Arc, ...]
    into: tuple[tuple[tuple[int, int | None, int | None], ...], ...]
    outer: tuple[Arc, ...]
    strict: tuple[Lag, ...]
    holds: tuple[Hold, ...]
    chain: bool
    tree: bool
    simple: bool
    past: bool
    earliest: tuple[int, ...]


def own_setup(task: Task) -> int:
    """Return the set-up of a task that is not the planner's choice: 0 if it has to follow."""
    return 0 if task.follows is not None else task.setup


def mandatory(problem: Problem, group: int | None) -> bool:
    """Return whether a cluster may not be left out."""
    return group is None or problem.goal is Goal.MAKESPAN


def arc_of(problem: Problem, lag: Lag) -> tuple[int | None, int | None, bool]:
    """Return the bounds of READY(after) - READY(before), and whether they are exact."""
    before = offset_range(problem.tasks[lag.before], lag.before_anchor)
    after = offset_range(problem.tasks[lag.after], lag.after_anchor)
    least = None if lag.least is None else lag.least - after[1] + before[0]
    greatest = None if lag.greatest is None else lag.greatest - after[0] + before[1]
    return least, greatest, before[0] == before[1] and after[0] == after[1]


def offset_range(task: Task, anchor: Anchor) -> tuple[int, int]:
    """Return the least and greatest distance of an anchor from READY."""
    if anchor is Anchor.END:
        return task.duration, task.duration
    if anchor is Anchor.READY:
        return 0, 0
    setup = own_setup(task)
    rides = task.family is not None and task.fixed_start is None and task.follows is None
    return -setup, 0 if rides else -setup


def clusters_of(problem: Problem) -> tuple[Cluster, ...]:
    home = _homes(problem)
    members: dict[int, list[int]] = {}
    for task, place in enumerate(home):
        members.setdefault(place, []).append(task)
    inner: dict[int, list[Lag]] = {}
    outer: dict[int, list[Lag]] = {}
    for lag in problem.lags:
        first, second = home[lag.before], home[lag.after]
        if first == second:
            inner.setdefault(first, []).append(lag)
        else:
            outer.setdefault(first, []).append(lag)
            outer.setdefault(second, []).append(lag)
    holds: dict[int, list[Hold]] = {}
    for hold in problem.holds:
        edge = hold.start if isinstance(hold.start, Moment) else hold.end
        if isinstance(edge, Moment):
            holds.setdefault(home[edge.task], []).append(hold)
    known: dict[tuple[object, ...], tuple[int, Cluster]] = {}
    found = []
    for place, tasks in members.items():
        waits, beyond, held = inner.get(place, []), outer.get(place, []), holds.get(place, [])
        kind = None if beyond else _kind(problem, tasks, waits, held)
        if kind is not None and kind in known:
            first, model = known[kind]
            found.append(_moved(model, tasks[0] - first, problem.group_of[tasks[0]], held))
            continue
        cluster = _cluster(problem, tasks, waits, beyond, held)
        if kind is not None and not cluster.strict:
            known[kind] = tasks[0], cluster
        found.append(cluster)
    return tuple(found)


def _kind(
    problem: Problem, tasks: list[int], waits: list[Lag], holds: list[Hold]
) -> tuple[object, ...] | None:
    """Return what interchangeable groups have in common, None for any other cluster.

    The tasks of one are a number of places after those of the other. That they are alike one by
    one has been seen to when the network was made; only their waits and holds are compared.
    """
    group = problem.group_of[tasks[0]]
    if group is None or problem.groups[group].alike is None:
        return None
    first, entries = tasks[0], problem.tasks
    if any(entries[t].follows is not None or entries[t].fixed_start is not None for t in tasks):
        return None
    return (
        problem.groups[group].alike,
        tuple([task - first for task in tasks]),
        tuple([task - first for task in problem.groups[group].tasks]),
        tuple([_wait(lag, first) for lag in waits]),
        tuple([(h.station, _edge(h.start, first), _edge(h.end, first)) for h in holds]),
        any(hold.lost_until is not None for hold in holds),
    )


def _wait(lag: Lag, first: int) -> tuple[object, ...]:
    anchors = lag.before_anchor, lag.after_anchor
    return lag.before - first, lag.after - first, lag.least, lag.greatest, anchors


def _edge(edge: Moment | int | None, first: int) -> tuple[object, ...]:
    if isinstance(edge, Moment):
        return edge.task - first, edge.anchor, edge.offset
    return (edge,)


def _moved(model: Cluster, places: int, group: int | None, holds: list[Hold]) -> Cluster:
    """Return the cluster of a group whose tasks are so many places after those of its like."""
    tasks = tuple([task + places for task in model.tasks])
    return replace(model, group=group, tasks=tasks, holds=tuple(holds))


def _homes(problem: Problem) -> list[int]:
    """Return for every task the number of its cluster: its group, or its linked tasks."""
    groups = len(problem.groups)
    parent = [groups + task for task in range(len(problem.tasks))]
    home = list(problem.group_of)

    def root(task: int) -> int:
        while parent[task] != groups + task:
            task = parent[task] - groups
        return task

    links = [(lag.before, lag.after) for lag in problem.lags]
    for hold in problem.holds:
        if isinstance(hold.start, Moment) and isinstance(hold.end, Moment):
            links.append((hold.start.task, hold.end.task))
    for before, after in links:
        if home[before] is None and home[after] is None:
            parent[root(before)] = groups + root(after)
    return [groups + root(task) if own is None else own for task, own in enumerate(home)]


def _cluster(
    problem: Problem, tasks: list[int], inner: list[Lag], outer: list[Lag], holds: list[Hold]
) -> Cluster:
    arcs: dict[tuple[int, int], tuple[int | None, int | None]] = {}
    strict: list[Lag] = []
    for lag in inner:
        least, greatest, exact = arc_of(problem, lag)
        if not exact:
            strict.append(lag)
        _narrow(arcs, lag.before, lag.after, least, greatest)
    earliest = _earliest(problem, tasks, arcs)
    order = sorted(tasks, key=earliest.__getitem__)
    place = {task: position for position, task in enumerate(order)}
    edges = _merged(_turned(arcs, place))
    beyond, more = _outer_arcs(problem, place, outer)
    strict += more
    chain = _is_chain(problem, order, edges)
    return Cluster(
        group=problem.group_of[tasks[0]],
        tasks=tuple(order),
        arcs=edges,
        into=tuple(
            tuple((i, least, most) for i, j, least, most in edges if j == position)
            for position in range(len(order))
        ),
        outer=tuple(beyond),
        strict=tuple(strict),
        holds=tuple(holds),
        chain=chain,
        tree=not strict and len({j for _, j, _, _ in edges}) == len(edges),
        simple=chain and not strict and _apart(problem, tasks, holds),
        past=any(problem.tasks[task].fixed_start is not None for task in tasks)
        or any(hold.lost_until is not None for hold in holds),
        earliest=tuple(earliest[task] for task in order),
    )


def _turned(
    arcs: dict[tuple[int, int], tuple[int | None, int | None]], place: dict[int, int]
) -> list[Arc]:
    """Return the arcs between positions, every one from the earlier to the later."""
    return [
        (place[i], place[j], least, greatest)
        if place[i] < place[j]
        else (place[j], place[i], _negated(greatest), _negated(least))
        for (i, j), (least, greatest) in arcs.items()
        if i != j
    ]


def _apart(problem: Problem, tasks: list[int], holds: list[Hold]) -> bool:
    """Return whether no two uses of one station by the tasks of a chain can overlap.

    Those within one task each cannot, for the tasks of a chain do not.
    """
    users: dict[int, list[int | None]] = {}
    for hold in holds:
        users.setdefault(hold.station, []).append(_within(hold))
    for task in tasks:
        for station, _ in problem.tasks[task].demands:
            users.setdefault(station, []).append(task)
    return all(
        len(of_one) == 1 or (None not in of_one and len(set(of_one)) == len(of_one))
        for of_one in users.values()
    )


def _within(hold: Hold) -> int | None:
    """Return the task a hold lies within, None when it may be longer than a task."""
    first, last = hold.start, hold.end
    if not isinstance(first, Moment) or not isinstance(last, Moment):
        return None
    return first.task if first.task == last.task and not (first.offset or last.offset) else None


def _outer_arcs(
    problem: Problem, place: dict[int, int], outer: list[Lag]
) -> tuple[list[Arc], list[Lag]]:
    """Return the arcs from tasks of other clusters, and the waits that they only widen."""
    arcs: list[Arc] = []
    strict = []
    for lag in outer:
        least, greatest, exact = arc_of(problem, lag)
        if not exact:
            strict.append(lag)
        if lag.after in place:
            arcs.append((place[lag.after], lag.before, least, greatest))
        else:
            arcs.append((place[lag.before], lag.after, _negated(greatest), _negated(least)))
    return arcs, strict


def _narrow(
    arcs: dict[tuple[int, int], tuple[int | None, int | None]],
    before: int,
    after: int,
    least: int | None,
    greatest: int | None,
) -> None:
    """Tighten the arc of a pair."""
    old_least, old_greatest = arcs.get((before, after), (None, None))
    if old_least is not None:
        least = old_least if least is None else max(least, old_least)
    if old_greatest is not None:
        greatest = old_greatest if greatest is None else min(greatest, old_greatest)
    arcs[before, after] = least, greatest


def _merged(turned: list[Arc]) -> tuple[Arc, ...]:
    """Return one arc per pair of positions, in the order of placing."""
    pairs: dict[tuple[int, int], tuple[int | None, int | None]] = {}
    for before, after, least, greatest in turned:
        _narrow(pairs, before, after, least, greatest)
    return tuple((i, j, least, greatest) for (i, j), (least, greatest) in sorted(pairs.items()))


def _earliest(
    problem: Problem,
    tasks: list[int],
    arcs: dict[tuple[int, int], tuple[int | None, int | None]],
) -> dict[int, int]:
    """Return READY of each task by longest paths; stops after as many rounds as tasks.

    A contradiction (a cycle of waits that adds up) is told by `contradictions`, not here.
    """
    ready = {
        task: problem.release(task)
        + (own_setup(problem.tasks[task]) if problem.tasks[task].family is None else 0)
        for task in tasks
    }
    bounds = [(i, j, least) for (i, j), (least, _) in arcs.items() if least is not None]
    bounds += [(j, i, -most) for (i, j), (_, most) in arcs.items() if most is not None]
    for _ in tasks:
        changed = False
        for before, after, least in bounds:
            if ready[before] + least > ready[after]:
                ready[after] = ready[before] + least
                changed = True
        if not changed:
            break
    return ready


def _is_chain(problem: Problem, order: list[int], arcs: tuple[Arc, ...]) -> bool:
    """Return whether the waits keep the work proper of every task behind that of the one before.

    A set-up may still run beside the task before it, if another person does it.
    """
    behind = {
        (i, j)
        for i, j, least, _ in arcs
        if least is not None and least >= problem.tasks[order[i]].duration
    }
    return all((i, i + 1) in behind for i in range(len(order) - 1))


def _negated(bound: int | None) -> int | None:
    return None if bound is None else -bound
