"""Good rounds at once: the molds go round in waves, each wave layer by layer.

With all molds in one wave everybody's hands are full and windows may be missed; with one mold a
wave the hands wait for it. For every size of wave the order is fixed, neighbours of one mix share
a batch as far as it reaches, and the shortest period of that order is looked for: with the order
given, all bounds are differences of moments (Bellman and Ford). What is found starts the exact
search.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from floorboard.planning.rotation import Rotation, Turn

if TYPE_CHECKING:
    from floorboard.planning.rotation import RotationProblem

Difference = tuple[int, int, int, int]
"""`(i, j, steps, rounds)`: READY(j) >= READY(i) + steps - rounds * period."""

PERIODS = 160
"""Periods tried for one order, evenly spread above the least possible."""


def best_wave(problem: RotationProblem) -> Rotation | None:
    """Return the shortest round of waves, None when there is none or moves lie in no circle."""
    chains = chains_of(problem)
    if not chains:
        return None
    best: Rotation | None = None
    for share in (True, False):
        for size in range(1, len(chains) + 1):
            longest = None if best is None else best.period
            found = _round(problem, _orders(problem, chains, size), share, longest)
            best = found or best
    return best


def chains_of(problem: RotationProblem) -> list[list[int]]:
    """Return the moves of every mold in order, nothing when not every move is in one circle.

    A chain begins after a soak that may be of any length: there a mold can wait for its next wave.
    """
    chains = []
    for soaks, rounds in problem.circles:
        if rounds != 1:
            return []
        endless = [p for p, soak in enumerate(soaks) if problem.soaks[soak].greatest is None]
        turned = (*soaks[endless[-1] + 1 :], *soaks[: endless[-1] + 1]) if endless else soaks
        chains.append([problem.soaks[soak].before for soak in turned])
    moves = sorted(move for chain in chains for move in chain)
    return chains if moves == list(range(len(problem.moves))) else []


def _orders(problem: RotationProblem, chains: list[list[int]], size: int) -> list[list[int]]:
    """Return the order of every person's moves: their molds in waves, each layer by layer."""
    orders = []
    for person in range(problem.people):
        own = chains[person :: problem.people]
        order: list[int] = []
        for begin in range(0, len(own), size):
            wave = own[begin : begin + size]
            for step in range(max(len(chain) for chain in wave)):
                order += [chain[step] for chain in wave if step < len(chain)]
        orders.append(order)
    return orders


def _round(
    problem: RotationProblem, orders: list[list[int]], share: bool, longest: int | None
) -> Rotation | None:
    """Return the shortest round of fixed orders, if shorter than the longest wanted."""
    previous = _riders(problem, orders) if share else {}
    bounds = _bounds(problem, orders, previous)
    least = max(_work(problem, order, previous) for order in orders)
    most = 3 * least if longest is None else longest - 1
    for period in range(least, most + 1, max(1, (most - least) // PERIODS)):
        ready = _least_moments(len(problem.moves), bounds, period)
        if ready is not None:
            person_of = {move: p for p, order in enumerate(orders) for move in order}
            turns = []
            for index, move in enumerate(problem.moves):
                at = ready[index] % period
                setup = 0 if index in previous else move.setup
                end = at + move.duration
                turns.append(Turn(at - setup, at, end, person_of[index], previous.get(index)))
            return Rotation(period, tuple(turns), 0)
    return None


def _riders(problem: RotationProblem, orders: list[list[int]]) -> dict[int, int]:
    """Let neighbours in the order share a batch as long as it reaches."""
    previous: dict[int, int] = {}
    for order in orders:
        weight = age = 0
        for i, j in pairwise(order):
            before, move = problem.moves[i], problem.moves[j]
            if move.family is None or move.family != before.family:
                continue
            family = problem.families[move.family]
            if i not in previous:
                weight = before.weight
                age = before.setup - before.dry_setup + before.duration
            more = problem.walks[i][j] + move.duration
            if weight + move.weight <= family.max_weight and age + more <= family.max_span:
                previous[j], weight, age = i, weight + move.weight, age + more
    return previous


def _work(problem: RotationProblem, order: list[int], previous: dict[int, int]) -> int:
    """Return the work and the walks of one person's round."""
    walks = sum(problem.walks[i][j] for i, j in pairwise([*order, *order[:1]]))
    moves = [(problem.moves[index], index in previous) for index in order]
    return walks + sum(move.duration + (0 if rides else move.setup) for move, rides in moves)


def _bounds(
    problem: RotationProblem, orders: list[list[int]], previous: dict[int, int]
) -> list[Difference]:
    bounds: list[Difference] = []
    place: dict[int, int] = {}
    for order in orders:
        place.update({move: position for position, move in enumerate(order)})
        for i, j in pairwise([*order, *order[:1]]):
            setup = 0 if j in previous else problem.moves[j].setup
            steps = problem.moves[i].duration + problem.walks[i][j] + setup
            bounds.append((i, j, steps, int(j == order[0])))
            if previous.get(j) == i:
                bounds.append((j, i, -steps, 0))
    for soak in problem.soaks:
        over = int(place[soak.after] <= place[soak.before])
        duration = problem.moves[soak.before].duration
        bounds.append((soak.before, soak.after, duration + soak.least, over))
        if soak.greatest is not None:
            bounds.append((soak.after, soak.before, -duration - soak.greatest, -over))
        # Shorter than a round: READY(after) - END(before) + over * period <= period - 1.
        bounds.append((soak.after, soak.before, 1 - duration, 1 - over))
    return bounds


def _least_moments(count: int, bounds: list[Difference], period: int) -> list[int] | None:
    """Return the least moments that keep every bound, None when they add up in a circle."""
    ready = [0] * count
    limit = 3 * period
    for _ in range(count + 1):
        changed = False
        for i, j, steps, rounds in bounds:
            at = ready[i] + steps - rounds * period
            if at > ready[j]:
                if at > limit:
                    return None
                ready[j], changed = at, True
        if not changed:
            return ready
    return None
