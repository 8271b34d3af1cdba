"""Check a round against the definitions of its problem, sharing no code with its solver."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from floorboard.planning.check_network import Violation

if TYPE_CHECKING:
    from collections.abc import Iterator

    from floorboard.planning.rotation import Rotation, RotationProblem, Turn


def check_rotation(problem: RotationProblem, rotation: Rotation) -> list[Violation]:
    """Return every breach of a round; an empty list means that it can be kept for ever."""
    if rotation.period is None or len(rotation.turns) != len(problem.moves):
        return [Violation("presence", "round", 1, "There is no round.")]
    period = rotation.period
    return [
        *_lengths(problem, rotation.turns),
        *_people(problem, rotation.turns, period),
        *_soaks(problem, rotation.turns, period),
        *_batches(problem, rotation.turns, period),
    ]


def _lengths(problem: RotationProblem, turns: tuple[Turn, ...]) -> Iterator[Violation]:
    for move, turn in zip(problem.moves, turns, strict=True):
        setup = move.setup if turn.previous is None else 0
        off = abs(turn.ready - turn.start - setup) + abs(turn.end - turn.ready - move.duration)
        if off:
            yield Violation("length", move.name, off, f"{move.name} has another length.")


def _people(problem: RotationProblem, turns: tuple[Turn, ...], period: int) -> Iterator[Violation]:
    """Check that everyone gets from each move to the next, round after round."""
    for person in {turn.person for turn in turns}:
        if not 0 <= person < problem.people:
            yield Violation("skill", f"person {person}", 1, f"There is no person {person}.")
        own = sorted(
            (index for index, turn in enumerate(turns) if turn.person == person),
            key=lambda index: turns[index].ready,
        )
        for here, there in zip(own, own[1:] + own[:1], strict=True):
            begin = turns[there].start + (period if there == own[0] else 0)
            short = turns[here].end + problem.walks[here][there] - begin
            if short > 0:
                names = problem.moves[here].name, problem.moves[there].name
                message = f"From {names[0]} nobody gets to {names[1]} in time."
                yield Violation("one_task", names[1], short, message)


def _soaks(problem: RotationProblem, turns: tuple[Turn, ...], period: int) -> Iterator[Violation]:
    """Check the bounds of every soak, and the rounds of every circle."""
    lengths = []
    for soak in problem.soaks:
        # A place is emptied before it is filled again, so a soak is shorter than a round.
        length = (turns[soak.after].ready - turns[soak.before].end) % period
        lengths.append(length)
        name = problem.moves[soak.after].name
        if length < soak.least:
            message = f"{name} comes after {length}; at least {soak.least} are due."
            yield Violation("least_wait", name, soak.least - length, message)
        if soak.greatest is not None and length > soak.greatest:
            message = f"{name} comes after {length}; at most {soak.greatest} may pass."
            yield Violation("greatest_wait", name, length - soak.greatest, message)
    for soaks, rounds in problem.circles:
        total = sum(
            lengths[soak] + problem.moves[problem.soaks[soak].after].duration for soak in soaks
        )
        if total != rounds * period:
            name = problem.moves[problem.soaks[soaks[0]].before].name
            message = f"From {name} to itself it takes {total}, not {rounds} rounds of {period}."
            yield Violation("circle", name, abs(total - rounds * period), message)


def _batches(problem: RotationProblem, turns: tuple[Turn, ...], period: int) -> Iterator[Violation]:
    riders = [turn.previous for turn in turns if turn.previous is not None]
    if len(riders) != len(set(riders)):
        yield Violation("batch", "round", 1, "Two moves follow one in a batch.")
    for index, turn in enumerate(turns):
        move = problem.moves[index]
        if turn.previous is None:
            continue
        before, other = turns[turn.previous], problem.moves[turn.previous]
        if move.family is None or other.family != move.family or before.person != turn.person:
            yield Violation("batch", move.name, 1, f"{move.name} cannot follow {other.name}.")
        elif (turn.start - before.end - problem.walks[turn.previous][index]) % period:
            yield Violation("batch", move.name, 1, f"{move.name} does not follow at once.")
    led: set[int] = set()
    for index, turn in enumerate(turns):
        if turn.previous is None:
            led.update(_batch_of(index, turns))
            yield from _batch_limits(problem, index, turns)
    for index, move in enumerate(problem.moves):
        if index not in led:
            yield Violation("batch", move.name, 1, f"{move.name} is in a batch nobody mixed.")


def _batch_of(leader: int, turns: tuple[Turn, ...]) -> list[int]:
    """Return the moves of a batch in order."""
    batch = [leader]
    while len(batch) <= len(turns):
        after = [j for j, turn in enumerate(turns) if turn.previous == batch[-1]]
        if not after:
            break
        batch.append(after[0])
    return batch


def _batch_limits(
    problem: RotationProblem, leader: int, turns: tuple[Turn, ...]
) -> Iterator[Violation]:
    move = problem.moves[leader]
    if move.family is None:
        return
    family = problem.families[move.family]
    order = _batch_of(leader, turns)
    batch = [problem.moves[index] for index in order]
    walks = sum(problem.walks[here][there] for here, there in pairwise(order))
    over = sum(member.weight for member in batch) - family.max_weight
    if over > 0:
        yield Violation("batch_weight", move.name, over, f"The batch of {move.name} is heavy.")
    age = move.setup - move.dry_setup + walks + sum(member.duration for member in batch)
    if age > family.max_span:
        over = age - family.max_span
        yield Violation("batch_span", move.name, over, f"The batch of {move.name} is old.")
