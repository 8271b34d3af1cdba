"""Constraints that every good schedule keeps anyway: order among equals, and sums of work.

None is a rule. The order among interchangeable groups spares the engine from proving the same
thing for every naming (see `alike`); the sums of work give the linear relaxation a true picture
of how much the hands can do, which is what proves that no more castings are possible.
"""

from __future__ import annotations

from itertools import accumulate, pairwise
from typing import TYPE_CHECKING

from floorboard.planning.network import Moment

if TYPE_CHECKING:
    from floorboard.planning.cpsat.variables import Expression, Variables

MOST_EDGES = 24
"""Starts and ends tried for the sums of work; their pairs are the windows."""


def add_cuts(variables: Variables, prove: bool) -> None:
    """Add what helps the engine to the model of a scene: always the order, to prove the sums."""
    for clusters in variables.scene.alike_free():
        _in_order(variables, clusters)
    if not prove:
        return
    _batches_needed(variables)
    crews = range(len(variables.scene.crews))
    for crew in crews:
        _work_in_windows(variables, {crew})
    if len(crews) > 1:
        _work_in_windows(variables, set(crews))


def _in_order(variables: Variables, clusters: list[int]) -> None:
    model = variables.model
    for first, second in pairwise(clusters):
        later = variables.groups[second]
        model.add_implication(later, variables.groups[first])
        pairs = zip(variables.group_tasks(first), variables.group_tasks(second), strict=True)
        for a, b in pairs:
            earlier = variables.tasks[a].ready <= variables.tasks[b].ready
            model.add(earlier).only_enforce_if(later)
    _units_in_turn(variables, clusters)


def _units_in_turn(variables: Variables, clusters: list[int]) -> None:
    """With n units, group k + n can only hold one once group k has let it go."""
    problem, layout, model = variables.scene.problem, variables.scene.layout, variables.model
    for place, hold in enumerate(layout.clusters[clusters[0]].holds):
        capacity = problem.stations[hold.station].capacity
        both = isinstance(hold.start, Moment) and isinstance(hold.end, Moment)
        if not both or hold.units != 1 or not capacity:
            continue
        for first, second in zip(clusters, clusters[capacity:], strict=False):
            end = layout.clusters[first].holds[place].end
            start = layout.clusters[second].holds[place].start
            assert isinstance(end, Moment)
            assert isinstance(start, Moment)
            let_go = variables.tasks[end.task].at(end.anchor) + end.offset
            taken = variables.tasks[start.task].at(start.anchor) + start.offset
            model.add(taken >= let_go).only_enforce_if(variables.groups[second])


def _batches_needed(variables: Variables) -> None:
    """Every batch carries so much and lasts so long, so there are at least so many leaders."""
    problem, scene = variables.scene.problem, variables.scene
    for family, entry in enumerate(problem.families):
        tasks = [task for task in scene.domains if problem.tasks[task].family == family]
        if not tasks or any(not scene.is_free(task) for task in variables.tails(family)):
            continue
        wet = min(problem.tasks[task].setup - problem.tasks[task].dry_setup for task in tasks)
        weights = {task: problem.tasks[task].weight for task in tasks}
        lengths = {task: problem.tasks[task].duration for task in tasks}
        _packed(variables, weights, entry.max_weight)
        _packed(variables, lengths, entry.max_span - wet)


def _packed(variables: Variables, sizes: dict[int, int], room: int) -> None:
    """Add that the tasks of a family need so many batches of a room.

    Beside the plain sum, sizes are rounded by the functions of Fekete & Schepers (2001): of sizes
    over a half only one goes into a batch, of those over a third only two, and so on. They keep
    every packing that is possible and tell of many that are not.
    """
    model = variables.model
    leaders = sum(variables.tasks[task].leads for task in sizes)
    if isinstance(leaders, int) or room <= 0:
        return
    present = {task: variables.tasks[task].present for task in sizes}
    model.add(sum(size * present[task] for task, size in sizes.items()) <= room * leaders)
    for k in range(1, 5):
        rounded = {task: _rounded(size, room, k) for task, size in sizes.items()}
        total = sum(size * present[task] for task, size in rounded.items() if size)
        if not isinstance(total, int):
            model.add(total <= k * (k + 1) * leaders)


def _rounded(size: int, room: int, k: int) -> int:
    """Return k (k + 1) times the rounded share of a size in a room."""
    parts, rest = divmod((k + 1) * size, room)
    return k * parts if rest == 0 else (k + 1) * parts


def _work_in_windows(variables: Variables, crews: set[int]) -> None:
    """Work that can only be done within a window fits the hands some crews have in it."""
    scene = variables.scene
    tasks = [task for task in scene.domains if crews & variables.tasks[task].crews.keys()]
    spans = {task: (scene.first_start(task), scene.last_end(task)) for task in tasks}
    hands = _hands_before(variables, crews)
    seen: set[tuple[int, ...]] = set()
    for start in _spread({first for first, _ in spans.values()}):
        for end in _spread({last for _, last in spans.values()}):
            inside = tuple(t for t in tasks if spans[t][0] >= start and spans[t][1] <= end)
            if len(inside) < 2 or inside in seen:
                continue
            seen.add(inside)
            low = min(spans[task][0] for task in inside)
            high = max(spans[task][1] for task in inside)
            work = sum(_work(variables, task, crews) for task in inside)
            if not isinstance(work, int):
                variables.model.add(work <= hands[high] - hands[low])


def _hands_before(variables: Variables, crews: set[int]) -> list[int]:
    """Return how much some crews can do before each step."""
    scene = variables.scene
    free = [0] * scene.problem.horizon
    for crew in crews:
        here = [len(scene.crews[crew].people)] * scene.problem.horizon
        for start, end, units in scene.hands_taken[crew]:
            for step in range(start, min(end, scene.problem.horizon)):
                here[step] -= units
        free = [total + more for total, more in zip(free, here, strict=True)]
    return [0, *accumulate(free)]


def _work(variables: Variables, task: int, crews: set[int]) -> Expression:
    """Return the hands some crews spend on a task: never less than this."""
    entry, made = variables.scene.problem.tasks[task], variables.tasks[task]
    if not made.crews.keys() <= crews:
        return entry.duration * sum(made.crews[crew] for crew in made.crews.keys() & crews)
    setup = entry.setup * made.leads if entry.follows is None else 0
    return entry.duration * made.present + setup


def _spread(edges: set[int]) -> list[int]:
    """Return at most `MOST_EDGES` of the edges, evenly spread, the outer ones among them."""
    ordered = sorted(edges)
    if len(ordered) <= MOST_EDGES:
        return ordered
    step = (len(ordered) - 1) / (MOST_EDGES - 1)
    return [ordered[round(place * step)] for place in range(MOST_EDGES)]
