"""The tiers of a scene as one integer expression, and what its bound says of each tier.

The tiers are lexicographic. Within one scene every tier below the first has a known greatest
value, so weights `w(k) = w(k+1) * (greatest(k+1) + 1)` make one step of a tier worth more than
all that lies below it: the minimum of the weighted sum is the lexicographic minimum. The same
weights turn a proven bound of the sum back into a bound of the tiers, digit by digit.

What is planned (what is lost, late and left out) is settled before when (finishes and moves): a
sum that takes few values is proved sooner. When the weights would pass `SAFE`, the last tiers are
left to a further solve.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from floorboard.planning.clusters import arc_of
from floorboard.planning.network import Goal
from floorboard.planning.tiers import lateness

if TYPE_CHECKING:
    from floorboard.planning.cpsat.scene import Scene
    from floorboard.planning.cpsat.variables import Expression, Variables
    from floorboard.planning.network import Group

SAFE = 2**45
"""Greatest weighted sum given to the engine: its bounds stay exact in floating point."""


@dataclass(frozen=True, slots=True)
class Tier:
    """One tier of a scene: its expression over the free clusters and its greatest value.

    Parameters
    ----------
    constant
        What the clusters that are not free add to it.
    """

    name: str
    expression: Expression
    greatest: int
    constant: int = 0


def tiers_of(variables: Variables) -> list[Tier]:
    """Return the tiers of a scene, most important first."""
    if variables.scene.problem.goal is Goal.MAKESPAN:
        return [_makespan(variables)]
    _add_finishes(variables)
    return [
        _lost(variables),
        _lateness(variables),
        _left_out(variables),
        _finishes(variables),
        _moves(variables),
    ]


WHAT = 3
"""Tiers that say what is planned."""


def stages_of(tiers: list[Tier], together: bool) -> list[list[Tier]]:
    """Return the tiers in the groups they are solved in.

    Parameters
    ----------
    together
        As many as possible at once, for a quick look; else what and when apart.
    """
    stages, first = [], 0
    while first < len(tiers):
        apart = not together and first < WHAT
        stages.append(_leading(tiers[first : WHAT if apart else len(tiers)]))
        first += len(stages[-1])
    return stages


def total_of(stage: list[Tier]) -> Expression:
    """Return the weighted sum of a stage, its constants left out; an int where all is constant."""
    return sum(w * tier.expression for w, tier in zip(weights(stage), stage, strict=True))


def reached_in(stage: list[Tier], values: tuple[int, ...]) -> int:
    """Return what the weighted sum of a stage comes to where its tiers have these values."""
    return sum(
        weight * (value - tier.constant)
        for weight, value, tier in zip(weights(stage), values, stage, strict=True)
    )


def _leading(tiers: list[Tier]) -> list[Tier]:
    """Return the leading tiers whose weighted sum stays below `SAFE`, at least the first."""
    for count in range(len(tiers), 1, -1):
        if weights(tiers[:count])[0] * (tiers[0].greatest + 1) <= SAFE:
            return tiers[:count]
    return tiers[:1]


def weights(stage: list[Tier]) -> list[int]:
    """Return the weight of each tier of a stage in its sum."""
    found, weight = [], 1
    for tier in reversed(stage):
        found.append(weight)
        weight *= tier.greatest + 1
    return found[::-1]


def digits(total: int, tiers: list[Tier]) -> tuple[int, ...]:
    """Return the tiers a weighted sum stands for, with what is constant."""
    found = []
    for tier in reversed(tiers[1:]):
        total, digit = divmod(total, tier.greatest + 1)
        found.append(digit + tier.constant)
    found.append(total + tiers[0].constant)
    return tuple(found[::-1])


def _makespan(variables: Variables) -> Tier:
    scene, model = variables.scene, variables.model
    constant = max((entry[2] for entry in scene.constant if entry is not None), default=0)
    end = model.new_int_var(constant, scene.problem.horizon, "makespan")
    outlasted = _outlasted(variables)
    for task in scene.domains:
        if task not in outlasted:
            model.add(end >= variables.tasks[task].end)
    variables.highest.append((end, tuple(scene.domains), constant))
    return Tier("makespan", end, scene.problem.horizon)


def _outlasted(variables: Variables) -> set[int]:
    """Return the free tasks that end no later than another one, by a wait between the two."""
    scene, found = variables.scene, set()
    tasks = scene.problem.tasks
    for lag in scene.problem.lags:
        least, _, _ = arc_of(scene.problem, lag)
        if least is None or not scene.is_free(lag.before) or not scene.is_free(lag.after):
            continue
        later = least + tasks[lag.after].duration - tasks[lag.before].duration
        # Of two that always end together one stays.
        if later > 0 or (later == 0 and lag.after > lag.before):
            found.add(lag.before)
    return found


def _add_finishes(variables: Variables) -> None:
    """Make the end of the last task of every free group."""
    scene, model = variables.scene, variables.model
    for index in scene.free:
        cluster = scene.layout.clusters[index]
        if cluster.group is None or index in scene.impossible:
            continue
        ends = [variables.tasks[task].end for task in cluster.tasks]
        if cluster.chain or len(ends) == 1:
            variables.finish[index] = ends[-1]
            continue
        finish = model.new_int_var(0, scene.problem.horizon, "finish")
        for end in ends:
            model.add(finish >= end)
        variables.finish[index] = finish
        variables.highest.append((finish, cluster.tasks, 0))


def _lost(variables: Variables) -> Tier:
    return _absent(variables, "lost in hand", True)


def _left_out(variables: Variables) -> Tier:
    return _absent(variables, "left out", False)


def _absent(variables: Variables, name: str, in_hand: bool) -> Tier:
    total: Expression = 0
    greatest = 0
    for index, group in _free_groups(variables):
        if group.in_hand is in_hand and group.worth:
            total += group.worth * (1 - variables.groups[index])
            greatest += group.worth
    constant = sum(
        group.worth
        for group in _other_groups(variables)
        if group.in_hand is in_hand and _finish(variables, group) is None
    )
    return Tier(name, total, greatest, constant)


def _lateness(variables: Variables) -> Tier:
    scene, model = variables.scene, variables.model
    total: Expression = 0
    greatest = 0
    for index, group in _free_groups(variables):
        if group.due is None or not group.late_weight:
            continue
        most = max(0, scene.problem.horizon - group.due)
        greatest += group.late_weight * most
        if index not in variables.finish:
            total += group.late_weight * most
            continue
        late = model.new_int_var(0, most, f"late {group.name}")
        variables.late[index] = late
        model.add(late >= variables.finish[index] - group.due)
        model.add(late >= most * (1 - variables.groups[index]))
        total += group.late_weight * late
    constant = sum(
        lateness(scene.problem, group, _finish(variables, group))
        for group in _other_groups(variables)
    )
    return Tier("lateness", total, greatest, constant)


def _finishes(variables: Variables) -> Tier:
    """Return the sum of the finishes of the groups that are present."""
    scene, model = variables.scene, variables.model
    total: Expression = 0
    greatest = 0
    for index, finish in variables.finish.items():
        cluster = scene.layout.clusters[index]
        most = max(scene.ready_last(task) + _duration(scene, task) for task in cluster.tasks)
        least = max(scene.ready_first(task) + _duration(scene, task) for task in cluster.tasks)
        greatest += most
        present = variables.groups[index]
        if isinstance(present, int):
            total += finish
            continue
        counted = model.new_int_var(0, most, "counted finish")
        model.add(counted >= finish - most * (1 - present))
        model.add(counted >= least * present)
        variables.counted[index] = counted
        total += counted
    constant = sum(_finish(variables, group) or 0 for group in _other_groups(variables))
    return Tier("finishes", total, greatest, constant)


def _moves(variables: Variables) -> Tier:
    """Return how many tasks of the reference plan move.

    Within a crew who does what is settled after the solve, so only a change of crew counts here:
    the tier is a bound, and the solution's own count is taken from its placements.
    """
    scene, model = variables.scene, variables.model
    problem, greatest, constant = scene.problem, 0, 0
    total: Expression = 0
    for entry in problem.reference:
        if not scene.is_free(entry.task):
            placed = scene.constant[entry.task]
            there = placed is not None and abs(placed[0] - entry.start) <= problem.reference_slack
            same = placed is not None and entry.person in (None, placed[3])
            constant += int(not (there and same))
            continue
        made = variables.tasks[entry.task]
        moved = model.new_bool_var("moved")
        stays = [~moved]
        variables.moved[entry.task] = moved
        model.add(made.start - entry.start <= problem.reference_slack).only_enforce_if(stays)
        model.add(entry.start - made.start <= problem.reference_slack).only_enforce_if(stays)
        model.add(moved + made.present >= 1)
        if entry.person is not None:
            crew = made.crews.get(scene.crew_of[entry.person], 0)
            model.add(moved + crew >= 1)
        total += moved
        greatest += 1
    return Tier("moves", total, greatest, constant)


def _duration(scene: Scene, task: int) -> int:
    return scene.problem.tasks[task].duration


def _free_groups(variables: Variables) -> list[tuple[int, Group]]:
    scene = variables.scene
    found = []
    for index in scene.free:
        group = scene.layout.clusters[index].group
        if group is not None:
            found.append((index, scene.problem.groups[group]))
    return found


def _other_groups(variables: Variables) -> list[Group]:
    scene = variables.scene
    free = set(scene.free)
    return [
        scene.problem.groups[cluster.group]
        for index, cluster in enumerate(scene.layout.clusters)
        if cluster.group is not None and index not in free
    ]


def _finish(variables: Variables, group: Group) -> int | None:
    ends = [variables.scene.constant[task] for task in group.tasks]
    return max(entry[2] for entry in ends if entry is not None) if all(ends) else None
