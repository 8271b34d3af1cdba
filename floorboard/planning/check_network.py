"""Check a schedule against the definitions of its network, rule by rule.

Written from the definitions in `network`, sharing no code with any solver. A breach among
facts alone (work in hand, fixed stretches) is not a breach of the plan and is not reported.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from floorboard.planning.check_objective import stated_objective
from floorboard.planning.network import Anchor, Hold, Moment, Problem
from floorboard.planning.solution import Placement, Placements, Solution


@dataclass(frozen=True, slots=True)
class Violation:
    """One breach: which rule, by whom or what, by how much (steps, units, tasks)."""

    rule: str
    subject: str
    amount: int
    message: str


Check = Callable[[Problem, Placements], Iterator[Violation]]


def check_solution(problem: Problem, solution: Solution) -> list[Violation]:
    """Return every breach of a solution; an empty list means it keeps all rules."""
    violations = check_placements(problem, solution.placements)
    if not any(violation.rule in ("presence", "length") for violation in violations):
        violations += stated(problem, solution)
    return violations


def check_placements(problem: Problem, placements: Placements) -> list[Violation]:
    """Return every breach of the placements alone, in the order of the rules."""
    if len(placements) != len(problem.tasks):
        message = f"{len(placements)} placements for {len(problem.tasks)} tasks."
        return [Violation("presence", "plan", abs(len(placements) - len(problem.tasks)), message)]
    return [breach for check in CHECKS.values() for breach in check(problem, placements)]


def stated(problem: Problem, solution: Solution) -> list[Violation]:
    """Return a breach when the stated objective is not what the placements amount to."""
    actual = stated_objective(problem, solution.placements)
    if tuple(solution.objective) == actual:
        return []
    message = f"The objective is stated as {solution.objective} but amounts to {actual}."
    return [Violation("objective", "plan", 1, message)]


def presence(problem: Problem, placements: Placements) -> Iterator[Violation]:
    """Check that groups are whole and that other tasks are there."""
    grouped: set[int] = set()
    for group in problem.groups:
        grouped.update(group.tasks)
        missing = [task for task in group.tasks if placements[task] is None]
        if missing and len(missing) < len(group.tasks):
            names = ", ".join(problem.tasks[task].name for task in missing)
            yield Violation("presence", group.name, len(missing), f"{group.name} lacks {names}.")
    for index, task in enumerate(problem.tasks):
        if index not in grouped and placements[index] is None:
            yield Violation("presence", task.name, 1, f"{task.name} is left out.")


def length(problem: Problem, placements: Placements) -> Iterator[Violation]:
    """Check set-up and duration of every task."""
    for index, placed in _present(placements):
        task = problem.tasks[index]
        setup = task.setup if placed.previous is None else 0
        off = abs(placed.ready - placed.start - setup) + abs(
            placed.end - placed.ready - task.duration
        )
        if off:
            message = (
                f"{task.name} runs {placed.start}-{placed.ready}-{placed.end}, but its set-up is "
                f"{setup} and its duration {task.duration} steps."
            )
            yield Violation("length", task.name, off, message)


def facts(problem: Problem, placements: Placements) -> Iterator[Violation]:
    """Check that work in hand is where it is."""
    for index, placed in _present(placements):
        task = problem.tasks[index]
        if task.fixed_start is not None and placed.start != task.fixed_start:
            message = f"{task.name} started at {task.fixed_start}, not at {placed.start}."
            off = abs(placed.start - task.fixed_start)
            yield Violation("facts", task.name, off, message)
        if task.fixed_person is not None and placed.person != task.fixed_person:
            name = problem.people[task.fixed_person].name
            yield Violation("facts", task.name, 1, f"{task.name} is done by {name}.")


def time(problem: Problem, placements: Placements) -> Iterator[Violation]:
    """Check release, now, deadline and horizon."""
    for index, placed in _present(placements):
        task = problem.tasks[index]
        if task.fixed_start is not None:
            continue
        earliest = max(task.release, problem.now)
        if placed.start < earliest:
            message = f"{task.name} starts at {placed.start}, before {earliest}."
            yield Violation("time", task.name, earliest - placed.start, message)
        latest = problem.horizon if task.deadline is None else min(task.deadline, problem.horizon)
        if placed.end > latest:
            message = f"{task.name} ends at {placed.end}, after {latest}."
            yield Violation("time", task.name, placed.end - latest, message)


def skill(problem: Problem, placements: Placements) -> Iterator[Violation]:
    """Check that each task has the person it needs."""
    for index, placed in _present(placements):
        task = problem.tasks[index]
        if task.fixed_person is not None:
            continue
        if not task.people and placed.person is not None:
            yield Violation("skill", task.name, 1, f"{task.name} needs no hands.")
        if task.people and placed.person not in task.people:
            who = "nobody" if placed.person is None else _who(problem, placed.person)
            message = f"{task.name} is given to {who}, who cannot do it."
            yield Violation("skill", task.name, 1, message)


def stretch(problem: Problem, placements: Placements) -> Iterator[Violation]:
    """Check that hands-on work lies inside the stretches of its person."""
    for index, placed in _present(placements):
        task = problem.tasks[index]
        if placed.person is None or task.fixed_start is not None:
            continue
        if not 0 <= placed.person < len(problem.people):
            continue
        outside = min(
            (
                max(0, start - placed.start) + max(0, placed.end - end)
                for start, end in problem.people[placed.person].stretches
            ),
            default=placed.end - placed.start,
        )
        if outside:
            message = (
                f"{task.name} ({placed.start}-{placed.end}) lies {outside} steps outside the "
                f"time of {_who(problem, placed.person)}."
            )
            yield Violation("stretch", task.name, outside, message)


def one_task(problem: Problem, placements: Placements) -> Iterator[Violation]:
    """Check that nobody does two tasks at once."""
    busy: dict[int, list[tuple[int, int, int]]] = defaultdict(list)
    for index, placed in _present(placements):
        if placed.person is not None and problem.tasks[index].people:
            busy[placed.person].append((placed.start, placed.end, index))
    for index, start, end in _abandoned(problem, placements):
        person = problem.tasks[index].fixed_person
        if person is not None:
            busy[person].append((start, end, index))
    for person, spans in busy.items():
        spans.sort()
        for place, (start, end, first) in enumerate(spans):
            for later_start, later_end, second in spans[place + 1 :]:
                if later_start >= end:
                    break
                if _all_facts(problem, (first, second)):
                    continue
                overlap = min(end, later_end) - max(start, later_start)
                names = problem.tasks[first].name, problem.tasks[second].name
                message = f"{_who(problem, person)} does {names[0]} and {names[1]} at once."
                yield Violation("one_task", _who(problem, person), overlap, message)


def batch(problem: Problem, placements: Placements) -> Iterator[Violation]:
    """Check who follows whom in every batch."""
    follower: dict[int, int] = {}
    for index, placed in _present(placements):
        task = problem.tasks[index]
        if task.follows is not None and placed.previous != task.follows:
            name = problem.tasks[task.follows].name
            yield Violation("batch", task.name, 1, f"{task.name} is mixed with {name}.")
        if placed.previous is None:
            if placed.leader != index:
                yield Violation("batch", task.name, 1, f"{task.name} leads its own batch.")
            continue
        if placed.previous in follower:
            message = f"Two tasks follow {problem.tasks[placed.previous].name}."
            yield Violation("batch", task.name, 1, message)
        follower[placed.previous] = index
        yield from _follows(problem, placements, index, placed)


def _follows(
    problem: Problem, placements: Placements, index: int, placed: Placement
) -> Iterator[Violation]:
    task = problem.tasks[index]
    assert placed.previous is not None
    before, other = placements[placed.previous], problem.tasks[placed.previous]
    if before is None or task.family is None or other.family != task.family:
        message = f"{task.name} cannot ride on the batch of {other.name}."
        yield Violation("batch", task.name, 1, message)
        return
    if before.leader != placed.leader:
        yield Violation("batch", task.name, 1, f"{task.name} names another leader.")
    if _all_facts(problem, (index, placed.previous)):
        return
    wait = abs(placed.start - before.end)
    if wait:
        message = f"{task.name} must start at once after {other.name}, not {wait} steps off."
        yield Violation("batch", task.name, wait, message)
    if before.person != placed.person:
        message = f"{task.name} and {other.name} ride on one batch of two people."
        yield Violation("batch", task.name, 1, message)


def batch_weight(problem: Problem, placements: Placements) -> Iterator[Violation]:
    """Check that every batch fits its bucket."""
    for leader, members in _batches(problem, placements).items():
        family = problem.tasks[leader].family
        if family is None or _all_facts(problem, members):
            continue
        weight = sum(problem.tasks[member].weight for member in members)
        over = weight - problem.families[family].max_weight
        if over > 0:
            name = problem.tasks[leader].name
            message = f"The batch of {name} weighs {weight}, {over} too much."
            yield Violation("batch_weight", name, over, message)


def batch_span(problem: Problem, placements: Placements) -> Iterator[Violation]:
    """Check that every batch is used up in time."""
    for leader, members in _batches(problem, placements).items():
        family, first = problem.tasks[leader].family, placements[leader]
        if family is None or first is None or _all_facts(problem, members):
            continue
        wet = first.start + problem.tasks[leader].dry_setup
        last = max(placed.end for member in members if (placed := placements[member]) is not None)
        over = last - wet - problem.families[family].max_span
        if over > 0:
            name = problem.tasks[leader].name
            message = f"The batch of {name} is used {last - wet} steps after wetting, {over} over."
            yield Violation("batch_span", name, over, message)


def least_wait(problem: Problem, placements: Placements) -> Iterator[Violation]:
    """Check the least waits."""
    for lag in problem.lags:
        wait = _wait(
            problem, placements, lag.before, lag.before_anchor, lag.after, lag.after_anchor
        )
        if wait is None or lag.least is None or wait >= lag.least:
            continue
        names = problem.tasks[lag.before].name, problem.tasks[lag.after].name
        message = f"{names[1]} comes {wait} steps after {names[0]}; at least {lag.least} are due."
        yield Violation("least_wait", names[1], lag.least - wait, message)


def greatest_wait(problem: Problem, placements: Placements) -> Iterator[Violation]:
    """Check the greatest waits."""
    for lag in problem.lags:
        wait = _wait(
            problem, placements, lag.before, lag.before_anchor, lag.after, lag.after_anchor
        )
        if wait is None or lag.greatest is None or wait <= lag.greatest:
            continue
        names = problem.tasks[lag.before].name, problem.tasks[lag.after].name
        message = (
            f"{names[1]} comes {wait} steps after {names[0]}; at most {lag.greatest} may pass."
        )
        yield Violation("greatest_wait", names[1], wait - lag.greatest, message)


def _wait(
    problem: Problem,
    placements: Placements,
    before: int,
    before_anchor: Anchor,
    after: int,
    after_anchor: Anchor,
) -> int | None:
    first, second = placements[before], placements[after]
    if first is None or second is None or _all_facts(problem, (before, after)):
        return None
    return _moment(second, after_anchor) - _moment(first, before_anchor)


def station(problem: Problem, placements: Placements) -> Iterator[Violation]:
    """Check every station at every step where its use changes."""
    uses: dict[int, list[tuple[int, int, int, bool]]] = defaultdict(list)
    for index, entry in enumerate(problem.stations):
        uses[index] += [(start, end, units, True) for start, end, units in entry.taken]
    for task, placed in _present(placements):
        for index, units in problem.tasks[task].demands:
            fact = problem.tasks[task].fixed_start is not None
            uses[index].append((placed.start, placed.end, units, fact))
    for task, start, end in _abandoned(problem, placements):
        for index, units in problem.tasks[task].demands:
            uses[index].append((start, end, units, True))
    for hold in problem.holds:
        held = _held(problem, placements, hold)
        if held is not None:
            uses[hold.station].append(held)
    for index, spans in uses.items():
        yield from _overload(problem, index, spans)


def _held(
    problem: Problem, placements: Placements, hold: Hold
) -> tuple[int, int, int, bool] | None:
    tasks = [edge.task for edge in (hold.start, hold.end) if isinstance(edge, Moment)]
    if any(placements[task] is None for task in tasks):
        if hold.lost_until is None or isinstance(hold.start, Moment):
            return None
        return hold.start, hold.lost_until, hold.units, True
    start = _edge(placements, hold.start)
    end = problem.horizon if hold.end is None else _edge(placements, hold.end)
    return start, end, hold.units, _all_facts(problem, tasks)


def _overload(
    problem: Problem, index: int, spans: list[tuple[int, int, int, bool]]
) -> Iterator[Violation]:
    """Yield the worst overload in which something other than facts takes part."""
    capacity, name = problem.stations[index].capacity, problem.stations[index].name
    worst, worst_at = 0, 0
    for step in sorted({start for start, end, *_ in spans if end > start}):
        here = [(units, fact) for start, end, units, fact in spans if start <= step < end]
        over = sum(units for units, _ in here) - capacity
        if over > worst and not all(fact for units, fact in here if units):
            worst, worst_at = over, step
    if worst:
        message = f"{name} is used {worst} beyond its {capacity} at step {worst_at}."
        yield Violation("station", name, worst, message)


def _present(placements: Placements) -> Iterator[tuple[int, Placement]]:
    return ((index, placed) for index, placed in enumerate(placements) if placed is not None)


def _abandoned(problem: Problem, placements: Placements) -> Iterator[tuple[int, int, int]]:
    """Yield the work in hand of absent groups, `(task, start, end)`: it goes on all the same."""
    for index, task in enumerate(problem.tasks):
        if placements[index] is None and task.fixed_start is not None:
            setup = task.setup if task.follows is None else 0
            yield index, task.fixed_start, task.fixed_start + setup + task.duration


def _batches(problem: Problem, placements: Placements) -> dict[int, list[int]]:
    """Return the members of every batch by leader."""
    members: dict[int, list[int]] = defaultdict(list)
    for index, placed in _present(placements):
        if problem.tasks[index].family is not None:
            members[placed.leader].append(index)
    return members


def _all_facts(problem: Problem, tasks: list[int] | tuple[int, ...]) -> bool:
    return all(problem.tasks[task].fixed_start is not None for task in tasks)


def _moment(placed: Placement, anchor: Anchor) -> int:
    return {Anchor.START: placed.start, Anchor.READY: placed.ready, Anchor.END: placed.end}[anchor]


def _edge(placements: Placements, edge: Moment | int) -> int:
    if isinstance(edge, int):
        return edge
    placed = placements[edge.task]
    assert placed is not None
    return _moment(placed, edge.anchor) + edge.offset


def _who(problem: Problem, person: int) -> str:
    if 0 <= person < len(problem.people):
        return problem.people[person].name
    return f"person {person}"


CHECKS: dict[str, Check] = {
    "presence": presence,
    "length": length,
    "facts": facts,
    "time": time,
    "skill": skill,
    "stretch": stretch,
    "one_task": one_task,
    "batch": batch,
    "batch_weight": batch_weight,
    "batch_span": batch_span,
    "least_wait": least_wait,
    "greatest_wait": greatest_wait,
    "station": station,
}
"""One check per rule, by the rule's name; `objective` is checked by `check_solution`."""
