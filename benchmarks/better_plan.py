"""From a log entry to the better plan that the board adopts. Printed, never asserted.

Run: python -m benchmarks.better_plan [--entries 12] [--seconds 6]

The process that betters plans is started as the board does, ahead of the first plan. Then, entry
after entry through a made day, a plan is drawn up at once and a better one is looked for; the board
asks for it every half second, so the spans are rounded up to its next look. Entries after which
nothing better was found in the time are counted apart. The last columns are castings of the day:
by the plan at once, and by the best one adopted.
"""

from __future__ import annotations

import argparse
import datetime as dt
import random
import time
from typing import TYPE_CHECKING

from benchmarks.board import percentile
from benchmarks.made_shops import made_shop
from benchmarks.planner import START
from floorboard.floor.floor import Floor
from floorboard.planning.as_planned import floor_as_planned
from floorboard.planning.improve import Improver
from floorboard.planning.planner import plan_shop

if TYPE_CHECKING:
    from floorboard.planning.plan import Plan

SIZES = ((10, 2), (20, 3), (40, 6))
GOAL_SECONDS = 2.0
# How often the board asks for a better plan.
LOOK_SECONDS = 0.5


def demolds(plan: Plan) -> int:
    """Return the castings a plan demolds on the day it is made."""
    end = START.replace(hour=16)
    return sum(task.kind == "demold" and task.end <= end for task in plan.tasks)


def better_plans(
    improver: Improver, molds: int, people: int, entries: int, seconds: float
) -> tuple[list[float], list[float], int, int]:
    """Return the spans to the first better plan and to the last, and castings at once and best."""
    shop, rng = made_shop(molds, people), random.Random(molds)
    now, floor = START, Floor()
    plan: Plan | None = None
    first: list[float] = []
    last: list[float] = []
    at_once = best = 0
    for _ in range(entries):
        begin = time.monotonic()
        plan = plan_shop(shop, floor, now, plan)
        at_once += demolds(plan)
        improver.start(shop, floor, now, plan, seconds=seconds)
        found: list[float] = []
        while improver.busy:
            time.sleep(LOOK_SECONDS - (time.monotonic() - begin) % LOOK_SECONDS)
            better = improver.poll()
            if better is not None:
                plan = better
                found.append(time.monotonic() - begin)
        first += found[:1]
        last += found[-1:]
        best += demolds(plan)
        later = now + dt.timedelta(seconds=rng.randint(300, 900))
        floor, now = floor_as_planned(shop, floor, plan, later), later
    return first, last, at_once, best


def main() -> None:
    """Run and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--entries", type=int, default=12)
    parser.add_argument("--seconds", type=float, default=6.0, help="for each search")
    options = parser.parse_args()
    improver = Improver()
    begin = time.monotonic()
    improver.warm()
    print(f"starting the process takes {(time.monotonic() - begin) * 1000:.0f} ms of the board")
    time.sleep(3.0)
    print(f"{'molds people':>12} {'entries':>8} {'bettered':>9}   first better p50  p95   best p50")
    for molds, people in SIZES:
        first, last, at_once, best = better_plans(
            improver, molds, people, options.entries, options.seconds
        )
        if not first:
            print(f"{molds:>5} {people:>6} {options.entries:>8} {0:>9}")
            continue
        p50, p95 = percentile(first, 0.5), percentile(first, 0.95)
        print(
            f"{molds:>5} {people:>6} {options.entries:>8} {len(first):>9}   {p50:>12.2f} s "
            f"{p95:.2f} s {percentile(last, 0.5):>8.2f} s   castings {at_once} -> {best}; "
            f"p95 is {p95 / GOAL_SECONDS:.2f} x the goal of {GOAL_SECONDS:g} s"
        )
    improver.close()


if __name__ == "__main__":
    main()
