"""What is known of a round before any search: how short it cannot be, which molds are alike."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from floorboard.planning.network import Family
    from floorboard.planning.rotation import Move, RotationProblem


def least_gaps(problem: RotationProblem) -> list[int]:
    """Return for every move the least time between the move before it and its own set-up.

    That is a walk, or what is left of the soak between the two where the set-up is made in it.
    """
    count = len(problem.moves)
    waits = _least_waits(problem)
    gaps = []
    for j, move in enumerate(problem.moves):
        ways = [
            max(problem.walks[i][j], waits.get((i, j), 0) - move.setup)
            for i in range(count)
            if i != j
        ]
        # With others at work somebody may do nothing but this one move.
        if problem.people > 1 or not ways:
            ways.append(problem.walks[j][j])
        gaps.append(min(ways))
    return gaps


def _least_waits(problem: RotationProblem) -> dict[tuple[int, int], int]:
    """Return the least time from the END of a move to READY of another, where soaks tell it."""
    waits = {(soak.before, soak.after): soak.least for soak in problem.soaks}
    for soaks, rounds in problem.circles:
        if rounds != 1:
            continue
        # Every move of the circle is once in a round, so between two of them lies all between.
        for begin in range(len(soaks)):
            passed = 0
            for place in (*soaks[begin:], *soaks[:begin])[:-1]:
                soak = problem.soaks[place]
                passed += soak.least
                waits[problem.soaks[soaks[begin]].before, soak.after] = passed
                passed += problem.moves[soak.after].duration
    return waits


def least_hands(problem: RotationProblem) -> int:
    """Return the hands of a round at the least: work, walks, and the mixing of every batch."""
    work = sum(move.duration for move in problem.moves) + sum(least_gaps(problem))
    for family, entry in enumerate(problem.families):
        moves = [move for move in problem.moves if move.family == family]
        setups = sorted(move.setup for move in moves)
        work += sum(setups[: batches_needed(moves, entry)])
    return work + sum(move.setup for move in problem.moves if move.family is None)


def batches_needed(moves: list[Move], family: Family) -> int:
    """Return how many batches the moves of a family need at the least.

    By the sums of their weights and of their lengths, and by how many are over a half.
    """
    if not moves:
        return 0
    wet = min(move.setup - move.dry_setup for move in moves)
    rooms = (
        ([move.weight for move in moves], family.max_weight),
        ([move.duration for move in moves], family.max_span - wet),
    )
    need = 1
    for sizes, room in rooms:
        if room > 0:
            need = max(need, -(-sum(sizes) // room), sum(2 * size > room for size in sizes))
            for share in range(2, 5):
                big = sum((share + 1) * size > room for size in sizes)
                need = max(need, -(-big // share))
    return min(need, len(moves))


def least_period(problem: RotationProblem) -> int:
    """Return what no round is shorter than: by hands, and by every mold's own way round."""
    least = max(1, -(-least_hands(problem) // problem.people))
    for soaks, rounds in problem.circles:
        around = sum(
            problem.soaks[soak].least + problem.moves[problem.soaks[soak].before].duration
            for soak in soaks
        )
        if rounds > 0:
            least = max(least, -(-around // rounds))
    return least


def alike_neighbours(problem: RotationProblem, chains: list[list[int]]) -> list[tuple[int, int]]:
    """Return the first moves of chains next to each other that could change places."""
    return [(a[0], b[0]) for a, b in pairwise(chains) if _alike(problem, a, b)]


def _alike(problem: RotationProblem, one: list[int], other: list[int]) -> bool:
    if len(one) != len(other):
        return False
    turned = list(range(len(problem.moves)))
    for i, j in zip(one, other, strict=True):
        if _shape(problem.moves[i]) != _shape(problem.moves[j]):
            return False
        turned[i], turned[j] = j, i
    soaks = sorted((s.before, s.after, s.least, s.greatest or -1) for s in problem.soaks)
    after = sorted(
        (turned[s.before], turned[s.after], s.least, s.greatest or -1) for s in problem.soaks
    )
    walks = problem.walks
    moves = range(len(turned))
    return soaks == after and all(
        walks[i][j] == walks[turned[i]][turned[j]] for i in moves for j in moves
    )


def _shape(move: Move) -> tuple[int, int, int, int | None, int]:
    return move.duration, move.setup, move.dry_setup, move.family, move.weight
