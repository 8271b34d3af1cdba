"""Whatever the shop and the state of the floor, a plan keeps every rule."""

from __future__ import annotations

import datetime as dt
import random

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from floorboard.floor.floor import Floor
from floorboard.planning.check_plan import check_plan
from floorboard.planning.plan import Plan
from floorboard.planning.planner import plan_shop
from floorboard.shop.file import read_shop_file
from floorboard.shop.locations import seed_file
from floorboard.shop.shop import Shop
from tests.planning.odd_logs import odd_floor
from tests.planning.played import Player
from tests.strategies import shops

MONDAY = dt.datetime(2026, 3, 9, tzinfo=dt.UTC)


def keeps_every_rule(shop: Shop, floor: Floor, plan: Plan) -> None:
    assert check_plan(shop, floor, plan) == []
    # A plan that failed and was put aside is a fault too, though nobody was shown it.
    assert not any("broke the rule" in note for note in plan.notes)


def plan_play_and_plan_again(shop: Shop, minute: int, seed: int, hours: float) -> None:
    """Plan a morning, let people work with delays, and plan the floor they leave."""
    now = MONDAY + dt.timedelta(minutes=minute, seconds=seed % 60)
    plan = plan_shop(shop, Floor(), now)
    keeps_every_rule(shop, Floor(), plan)
    if not plan.tasks:
        return
    later = plan.tasks[0].start + dt.timedelta(hours=hours)
    floor = Player(shop, plan, random.Random(seed)).play(later)
    again = plan_shop(shop, floor, later, plan)
    keeps_every_rule(shop, floor, again)


DRAWN = (shops(), st.integers(0, 24 * 60), st.integers(0, 10**6), st.floats(0.1, 9))
QUIET = [HealthCheck.too_slow, HealthCheck.data_too_large]


@settings(max_examples=60, deadline=None, suppress_health_check=QUIET)
@given(*DRAWN)
def test_plans_of_random_shops_keep_every_rule(
    shop: Shop, minute: int, seed: int, hours: float
) -> None:
    plan_play_and_plan_again(shop, minute, seed, hours)


SEEDS = ("demo.toml", "first.toml", "small-us.toml")


def plan_an_odd_log(seed: int) -> None:
    """Plan a floor whose log makes little sense, and plan it again a while later."""
    shop = read_shop_file(seed_file(SEEDS[seed % len(SEEDS)]))
    now = MONDAY + dt.timedelta(hours=9 + seed % 7, minutes=seed % 60, seconds=seed % 59)
    floor = odd_floor(shop, now, seed)
    plan = plan_shop(shop, floor, now)
    keeps_every_rule(shop, floor, plan)
    later = now + dt.timedelta(minutes=seed % 50)
    keeps_every_rule(shop, floor, plan_shop(shop, floor, later, plan))


def test_plans_of_floors_whose_logs_make_no_sense_keep_every_rule() -> None:
    for seed in range(45):
        plan_an_odd_log(seed)


@pytest.mark.long
def test_plans_of_a_thousand_senseless_logs_keep_every_rule() -> None:
    for seed in range(100, 1100):
        plan_an_odd_log(seed)


# Without shrinking: a failing day of a shop takes longer to make smaller than to look at.
PHASES = (Phase.explicit, Phase.reuse, Phase.generate)


@pytest.mark.long
@settings(max_examples=1000, deadline=None, suppress_health_check=QUIET, phases=PHASES)
@given(*DRAWN)
def test_plans_of_a_thousand_random_shops_keep_every_rule(
    shop: Shop, minute: int, seed: int, hours: float
) -> None:
    plan_play_and_plan_again(shop, minute, seed, hours)
