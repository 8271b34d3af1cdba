"""Floors of any size for the board's benchmarks: the demo shop with its molds many times over."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from floorboard.floor.clock import FixedClock
from floorboard.planning.plan import empty_plan
from floorboard.shop.shop import Shop
from floorboard.store.sqlite_store import open_store
from floorboard.usecases.demo_day import demo_shop, demo_start
from floorboard.usecases.session import Session

if TYPE_CHECKING:
    from pathlib import Path

    from floorboard.floor.floor import Floor
    from floorboard.planning.plan import Plan

# One press is made after another, so many seconds apart.
APART_SECONDS = 5.0
MOST_PRESSES = 9


class NoPlanner:
    """Plans nothing."""

    def plan(
        self, shop: Shop, floor: Floor, now: dt.datetime, previous: Plan | None = None
    ) -> Plan:
        """Return a plan that asks nothing of anyone."""
        del shop, previous
        return empty_plan(now, now, floor.last_seq)


class FirstPlan:
    """Plans once, and keeps to it: what is measured is the screen."""

    def __init__(self) -> None:
        self._plan: Plan | None = None

    def plan(
        self, shop: Shop, floor: Floor, now: dt.datetime, previous: Plan | None = None
    ) -> Plan:
        """Return the first plan there was, as if made now."""
        if self._plan is None:
            from floorboard.planning.planner import plan_shop

            self._plan = plan_shop(shop, floor, now, previous)
        return self._plan.model_copy(update={"made_at": now, "seq": floor.last_seq})


def shop_of(molds: int) -> Shop:
    """Return the demo shop with so many molds."""
    shop = demo_shop()
    found = list(shop.molds.values())
    many = {
        f"mold-{n}": found[n % len(found)].model_copy(update={"number": n + 1})
        for n in range(molds)
    }
    return Shop.model_validate(shop.model_dump() | {"molds": {k: m for k, m in many.items()}})


def fill(path: Path, molds: int) -> dt.datetime:
    """Make a database whose molds are in every state; return the moment it is to be looked at."""
    shop = shop_of(molds)
    start = demo_start(shop)
    clock = FixedClock(start - dt.timedelta(seconds=APART_SECONDS * MOST_PRESSES * molds / 2 + 900))
    store = open_store(path)
    store.load_shop(shop, source="benchmark", at=clock.now(), person=None, station="bench")
    session = Session(store, NoPlanner(), clock, "bench")
    people = list(shop.people)
    with store.filling():
        for index, mold in enumerate(shop.molds):
            for _ in range(index % (MOST_PRESSES + 1)):
                press = session.press_for_mold(mold, people[index % len(people)])
                if press is None:
                    break
                session.confirm(press)
                clock.forward(APART_SECONDS)
    store.close()
    return clock.now()
