"""The planner beside other ways of running the same shops. Printed as ratios, never asserted.

Run: python -m benchmarks.planner [--short] [--plain-seconds 60] [--seconds 2] [--prove-seconds 0]

Castings a shift of made shops of 3-40 molds and 1-6 people: by the first plan, by the plan after
two seconds on two cores, by whichever timer rings first, and by a plain model for the exact
solver in a minute. Then the time to a first plan at 5-80 molds, and after a log entry.

How far a plan is from the best there could be is said twice: to the best bound, which beyond small
shops is well above what any plan reaches, and to the most castings where these are proved. With
--prove-seconds the exact engine goes on for so long, on shops of up to --prove-molds molds, to
prove the most.
"""

from __future__ import annotations

import argparse
import datetime as dt
import random
import statistics
import time
from dataclasses import dataclass
from typing import TYPE_CHECKING

from benchmarks.made_shops import made_shop
from benchmarks.plain_model import solve_plain
from benchmarks.timer_first import timer_day
from floorboard.floor.floor import Floor
from floorboard.planning.alike import sorted_out
from floorboard.planning.as_planned import floor_as_planned
from floorboard.planning.build_problem import build_problem
from floorboard.planning.check_plan import check_plan
from floorboard.planning.cpsat.engine import Budget, solve_scene
from floorboard.planning.cpsat.scene import scene_of
from floorboard.planning.insertion import facts_of
from floorboard.planning.layout import Layout
from floorboard.planning.planner import plan_of, plan_shop
from floorboard.planning.search import first_plan, improve
from floorboard.planning.solution import Limits
from floorboard.planning.tiers import objective_of

if TYPE_CHECKING:
    from floorboard.planning.network import Problem
    from floorboard.planning.solution import Solution

START = dt.datetime(2026, 3, 9, 8, tzinfo=dt.UTC)
END = START + dt.timedelta(hours=8)
SIZES = ((3, 1), (5, 1), (5, 2), (8, 2), (10, 2), (10, 3), (20, 3), (20, 4), (40, 5), (40, 6))
SHORT_SIZES = ((3, 1), (5, 2), (10, 2), (20, 3))
FIRST_SIZES = ((5, 2), (10, 2), (20, 3), (40, 6), (80, 6))
FIRST_GOAL_MS = 50.0


@dataclass(frozen=True, slots=True)
class ShiftRow:
    """Castings a shift of one shop, one way beside the other.

    `most` is the best bound of them; `proved` says that a plan reaches it.
    """

    molds: int
    people: int
    seed: int
    timer: int
    first: int
    better: int
    plain: int | None
    most: int | None
    proved: bool
    engine: str

    @property
    def gap(self) -> float | None:
        """Castings short of the bound, as a share of it."""
        return None if self.most is None else (self.most - self.better) / max(1, self.most)


def most_castings(
    problem: Problem, better: Solution, seconds: float, workers: int
) -> tuple[int | None, bool]:
    """Return the best bound on the castings of a shift, and whether a plan reaches it.

    The castings of made shops are all worth the same and none is late, so the bound of the worth left
    out is one of castings.
    """
    bound, reached = better.bound, better.objective[2]
    if seconds > 0:
        layout = Layout(problem)
        scene = scene_of(facts_of(layout), tuple(range(len(layout.clusters))))
        until = time.monotonic() + seconds
        outcome = solve_scene(
            scene,
            sorted_out(layout, better.placements),
            Budget(seconds=2 * seconds, workers=workers),
            stop=lambda: time.monotonic() > until,
        )
        bound = max(bound, outcome.bound)
        if outcome.placements is not None:
            reached = min(reached, objective_of(problem, outcome.placements)[2])
    if len(bound) < 3:
        return None, False
    worth = problem.groups[0].worth
    left_out = -(-bound[2] // worth)
    return len(problem.groups) - left_out, reached == left_out * worth


def shift_row(
    molds: int,
    people: int,
    seed: int,
    seconds: float,
    plain_seconds: float,
    workers: int,
    prove_seconds: float,
) -> ShiftRow:
    """Run one shop every way."""
    shop = made_shop(molds, people, seed)
    source = build_problem(shop, Floor(), START, END)
    first = first_plan(source.problem)
    better = improve(source.problem, first, Limits(seconds=seconds, workers=workers))
    plan = plan_of(shop, Floor(), source, better)
    breaches = check_plan(shop, Floor(), plan)
    if breaches:
        raise SystemExit(f"The plan breaks a rule: {breaches[0].message}")
    plain = (
        solve_plain(source.problem, plain_seconds, workers).groups if plain_seconds > 0 else None
    )

    most, proved = most_castings(source.problem, better, prove_seconds, workers)

    def there(placements: tuple[object, ...]) -> int:
        return sum(placements[group.tasks[0]] is not None for group in source.problem.groups)

    return ShiftRow(
        molds,
        people,
        seed,
        timer_day(shop, START, END).demolded,
        there(first.placements),
        there(better.placements),
        plain,
        most,
        proved,
        better.engine,
    )


def print_shifts(rows: list[ShiftRow]) -> None:
    """Print a line a shop, then the means."""
    print(
        f"{'molds people seed':>17} {'timer':>6} {'first':>6} {'better':>7} {'plain':>6}   ratios"
    )
    for row in rows:
        plain = "-" if row.plain is None else str(row.plain)
        said = f"{row.better / max(1, row.timer):.2f} x timer"
        if row.plain:
            said += f", {row.better / row.plain:.2f} x plain"
        if row.gap is not None:
            said += f", {row.better} of {row.most}{' proved' if row.proved else ''}"
        print(
            f"{row.molds:>6} {row.people:>6} {row.seed:>3} {row.timer:>6} {row.first:>6} "
            f"{row.better:>7} {plain:>6}   {said} ({row.engine})"
        )
    ratio = statistics.fmean(row.better / max(1, row.timer) for row in rows)
    print(f"mean: {ratio:.2f} x the castings by timers (goal 1.30)")
    beside = [row for row in rows if row.plain]
    if beside:
        worst = min(row.better / (row.plain or 1) for row in beside)
        mean = statistics.fmean(row.better / (row.plain or 1) for row in beside)
        print(f"      {mean:.2f} x the plain model, at least {worst:.2f} (goal 1.00)")
    print_gaps(rows)


def print_gaps(rows: list[ShiftRow]) -> None:
    """Print how far the plans are from the bounds, and from the most where that is proved."""
    gaps = [row.gap for row in rows if row.gap is not None]
    if gaps:
        print(f"      gap to the best bound {statistics.fmean(gaps):.1%} over {len(gaps)} shops")
    proved = [row.gap for row in rows if row.gap is not None and row.proved]
    if proved:
        print(
            f"      gap to the most there can be {statistics.fmean(proved):.1%} over the "
            f"{len(proved)} shops where it is proved (goal 3 %)"
        )


def median_ms(work: object, times: int = 7) -> float:
    """Return the median of so many runs, in milliseconds of one core: others may use it too."""
    spans = []
    for _ in range(times):
        begin = time.process_time()
        work()  # type: ignore[operator]
        spans.append((time.process_time() - begin) * 1000)
    return statistics.median(spans)


def print_first_plans() -> None:
    """Print the time to a checked plan: in the morning, and after a log entry two hours later."""
    print(f"\n{'molds people':>12} {'morning':>9} {'after entry':>12} {'tasks':>6}   to 40 molds")
    lines = []
    for molds, people in FIRST_SIZES:
        shop = made_shop(molds, people)
        morning = median_ms(lambda shop=shop: plan_shop(shop, Floor(), START), 5)
        plan = plan_shop(shop, Floor(), START)
        later = START + dt.timedelta(hours=2, seconds=random.Random(molds).randint(1, 600))
        floor = floor_as_planned(shop, Floor(), plan, later)
        again = plan_shop(shop, floor, later, plan)
        entry = median_ms(
            lambda shop=shop, floor=floor, later=later, again=again: plan_shop(
                shop, floor, later + dt.timedelta(seconds=5), again
            )
        )
        lines.append((molds, people, morning, entry, len(again.tasks)))
    at_40 = next(entry for molds, _, _, entry, _ in lines if molds == 40)
    for molds, people, morning, entry, tasks in lines:
        print(
            f"{molds:>5} {people:>6} {morning:>6.1f} ms {entry:>9.1f} ms {tasks:>6}   "
            f"{entry / at_40:.2f}"
        )
    print(
        f"after an entry at 40 molds: {at_40 / FIRST_GOAL_MS:.2f} x the goal of {FIRST_GOAL_MS:g} ms"
    )


def main() -> None:
    """Run and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument(
        "--short", action="store_true", help="fewer shops, ten seconds for the plain model"
    )
    parser.add_argument("--seconds", type=float, default=2.0, help="for the planner")
    parser.add_argument("--plain-seconds", type=float, default=None, help="0: leave it out")
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--seeds", type=int, default=2)
    parser.add_argument("--prove-seconds", type=float, default=0.0, help="for the most castings")
    parser.add_argument("--prove-molds", type=int, default=10, help="in shops of so many molds")
    parser.add_argument("--largest", type=int, default=1000, help="leave out larger shops")
    options = parser.parse_args()
    plain = options.plain_seconds
    if plain is None:
        plain = 10.0 if options.short else 60.0
    sizes = SHORT_SIZES if options.short else SIZES
    seeds = 1 if options.short else options.seeds
    print_first_plans()
    print()
    print_shifts(
        [
            shift_row(
                molds,
                people,
                seed,
                options.seconds,
                plain,
                options.workers,
                options.prove_seconds if molds <= options.prove_molds else 0.0,
            )
            for molds, people in sizes
            if molds <= options.largest
            for seed in range(1, seeds + 1)
        ]
    )


if __name__ == "__main__":
    main()
