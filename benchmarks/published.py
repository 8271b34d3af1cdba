"""Published problems through the planner's core, beside a model made by hand for each alone.

Run: python -m benchmarks.published [--only NAME] [--repeats 15] [--seconds 120] [--workers 2]

Both ways take turns on the same instance, with the same seed, workers, parameters of the solver
and time limit, so that what else the machine does meets them alike; medians are compared, of the clock
and, where others use the machine too, of the processor's time on all threads. Counted
is all from the instance in memory to the answer: making the model, solving, reading the solution;
of the core also its checks, its first answer and its bounds. Loading the solver is left out.
Long problems are repeated less often than short ones.
"""

from __future__ import annotations

import argparse
import statistics
import time
from dataclasses import dataclass
from typing import TYPE_CHECKING

from benchmarks import published_models as by_hand
from floorboard.planning import published
from floorboard.planning.check_network import check_solution
from floorboard.planning.check_rotation import check_rotation
from floorboard.planning.rotation import shortest_round
from floorboard.planning.search import solve
from floorboard.planning.solution import Limits

if TYPE_CHECKING:
    from collections.abc import Callable

    from benchmarks.published_models import Found

    Way = Callable[[float, int, int], Found]

GOAL = 1.3

LONG = {"ft10": 7}
"""Repeats of what takes seconds."""


@dataclass(frozen=True, slots=True)
class Case:
    """One instance, the value proved for it, and the two ways to it."""

    name: str
    proved: int
    core: Way
    by_hand: Way


def _by_network(make: Callable[[str], object], name: str) -> Way:
    problem = make(name)

    def run(seconds: float, seed: int, workers: int) -> Found:
        found = solve(problem, Limits(seconds=seconds, seed=seed, workers=workers))  # type: ignore[arg-type]
        if not found.found:
            return by_hand.Found(0, -1)
        return by_hand.Found(found.objective[0], found.bound[0] if found.bound else -1)

    last = solve(problem, Limits(seconds=0.5))  # type: ignore[arg-type]
    if last.found and (breaches := check_solution(problem, last)):  # type: ignore[arg-type]
        raise SystemExit(f"{name}: {breaches[0].message}")
    return run


def _by_rotation(name: str) -> Way:
    problem = published.line_of_tanks(name)

    def run(seconds: float, seed: int, workers: int) -> Found:
        found = shortest_round(problem, seconds, seed=seed, workers=workers)
        if found.period is None:
            return by_hand.Found(0, -1)
        if breaches := check_rotation(problem, found):
            raise SystemExit(f"{name}: {breaches[0].message}")
        return by_hand.Found(found.period, found.bound)

    return run


def cases() -> list[Case]:
    """Return the published instances with the values proved for them."""
    return [
        *(
            Case(name, value, _by_network(published.job_shop, name), by_hand.job_shop(name))
            for name, value in (("ft06", 55), ("la05", 593), ("ft10", 930))
        ),
        *(
            Case(name, value, _by_network(published.project, name), by_hand.project(name))
            for name, value in (("ubo10_psp2", 45), ("j10_psp1", 26))
        ),
        Case(
            "phillips_unger",
            521,
            _by_rotation("phillips_unger"),
            by_hand.line_of_tanks("phillips_unger"),
        ),
    ]


def compare(case: Case, repeats: int, seconds: float, workers: int) -> bool:
    """Run both ways in turns and print a line; return whether the goal is met."""
    spans: dict[str, list[float]] = {"core": [], "by hand": []}
    work: dict[str, list[float]] = {"core": [], "by hand": []}
    values: dict[str, set[int]] = {"core": set(), "by hand": set()}
    proofs = dict.fromkeys(spans, 0)
    ways = [("core", case.core), ("by hand", case.by_hand)]
    for seed in range(1, repeats + 1):
        # Who goes first changes from turn to turn.
        for name, way in ways if seed % 2 else ways[::-1]:
            begin, begun = time.perf_counter(), time.process_time()
            found = way(seconds, seed, workers)
            spans[name].append(time.perf_counter() - begin)
            work[name].append(time.process_time() - begun)
            values[name].add(found.value)
            proofs[name] += found.proved
    core, hand = (statistics.median(spans[name]) for name in ("core", "by hand"))
    cpu = statistics.median(work["core"]) / statistics.median(work["by hand"])
    right = values["core"] == {case.proved} and proofs["core"] == repeats
    met = right and core <= GOAL * hand
    print(
        f"{case.name:>14} {_said(values['core']):>6} {case.proved:>6} "
        f"{proofs['core']:>4}/{repeats:<3} {core * 1000:>9.1f} ms "
        f"{_said(values['by hand']):>6} {proofs['by hand']:>4}/{repeats:<3} "
        f"{hand * 1000:>9.1f} ms {core / hand:>6.2f} {cpu:>6.2f}   {'met' if met else 'not met'}",
        flush=True,
    )
    return met


def _said(values: set[int]) -> str:
    return "/".join(str(value) for value in sorted(values))


def main() -> None:
    """Run and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--only", help="one instance")
    parser.add_argument("--repeats", type=int, default=15, help="of short instances")
    parser.add_argument("--seconds", type=float, default=120.0, help="limit of every run")
    parser.add_argument("--workers", type=int, default=2)
    options = parser.parse_args()
    print(
        f"{'':>14} {'core':>6} {'known':>6} {'proved':>8} {'time':>12} "
        f"{'hand':>6} {'proved':>8} {'time':>12} {'ratio':>6} {'of CPU':>6}   goal {GOAL}"
    )
    met = [
        compare(
            case,
            min(options.repeats, LONG.get(case.name, options.repeats)),
            options.seconds,
            options.workers,
        )
        for case in cases()
        if options.only in (None, case.name)
    ]
    print(f"{sum(met)} of {len(met)} within {GOAL} x a model made for the one problem")


if __name__ == "__main__":
    main()
