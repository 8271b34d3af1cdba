"""The chance of a plan, held against what can be worked out in closed form."""

from __future__ import annotations

import math
from statistics import NormalDist
from typing import Any

import pytest

from floorboard.floor.floor import Floor
from floorboard.planning.chance import chance_of
from floorboard.planning.pace import Pace, log_normal, paces_of
from floorboard.planning.plan import Plan
from floorboard.planning.planner import plan_shop
from floorboard.shop.shop import Shop
from tests.planning import urn_shop as u
from tests.planning.test_planner import floor_with

KINDS: tuple[Any, ...] = ("ready", "batch", "layer", "demold", "step")
STEADY: dict[Any, Pace] = {kind: Pace(spread=0) for kind in KINDS}
# Three standard errors of a chance found from 20,000 days are 0.011 at most.
MANY, NEAR = 20_000, 0.011


def chance_at_most(ratio: float, pace: Pace) -> float:
    """The chance that work takes at most so many times its planned time, log-normally."""
    mean, spread = log_normal(pace)
    return NormalDist(mean, spread).cdf(math.log(ratio))


def cured_shop(minutes: int) -> tuple[Shop, Floor]:
    """One urn that can be demolded so many minutes before the shift ends; demolding takes four."""
    floor = floor_with(0)
    casting = floor.castings["260309-01"]
    casting.coats[1].begun_at = u.minutes(480 - 30 - minutes - 3)
    casting.coats[1].applied_at = u.minutes(480 - 30 - minutes)
    orders = {"none": {"piece": "urn", "quantity": 1, "due": "2026-03-20"}}
    return u.shop_with(orders=orders), floor


def test_without_spread_every_day_is_as_planned() -> None:
    shop = u.shop_with()
    plan = plan_shop(shop, Floor(), u.EIGHT)
    found = chance_of(shop, Floor(), plan, STEADY, days=20)
    assert (found.chance_of_planned, found.lost_castings) == (1.0, 0.0)
    assert found.expected == found.planned
    assert found.planned == sum(
        c.demolded_at <= u.minutes(480) for c in plan.castings if c.demolded_at
    )


def test_the_chance_of_a_last_demold_is_that_of_its_length() -> None:
    shop, floor = cured_shop(5)
    plan = plan_shop(shop, floor, u.minutes(470))
    pace = Pace(spread=0.3)
    found = chance_of(shop, floor, plan, {**STEADY, "demold": pace}, days=MANY)
    # Four minutes as planned, five until the shift ends.
    assert found.planned == 1
    assert found.chance_of_planned == pytest.approx(chance_at_most(5 / 4, pace), abs=NEAR)


def test_the_chance_of_keeping_a_window_is_that_of_the_mix_being_ready() -> None:
    # The window of layer 2 closes three minutes from now, its mix takes a minute and a half.
    shop, floor = u.shop_with(molds={"urn-1": u.SHOP["molds"]["urn-1"]}), floor_with(17)
    orders = {"one": {"piece": "urn", "quantity": 1, "due": "2026-03-20"}}
    shop = shop.model_copy(update={"orders": u.shop_with(orders=orders).orders})
    plan = plan_shop(shop, floor, u.EIGHT)
    pace = Pace(spread=0.6)
    found = chance_of(shop, floor, plan, {**STEADY, "batch": pace}, days=MANY)
    assert found.lost_castings == pytest.approx(1 - chance_at_most(2, pace), abs=NEAR)


def test_the_chance_of_a_set_batch_is_that_of_a_pour_that_takes_too_long() -> None:
    # Half a minute from wetting to ready and three of pouring, in five minutes of working time.
    mix = {**u.SHOP["mixes"]["face"], "working_time": "5 min"}
    urn = {**u.URN, "layers": u.URN["layers"][1:]}
    orders = {"one": {"piece": "urn", "quantity": 1, "due": "2026-03-20"}}
    shop = u.shop_with(mixes={**u.SHOP["mixes"], "face": mix}, pieces={"urn": urn}, orders=orders)
    plan = plan_shop(shop, Floor(), u.EIGHT)
    pace = Pace(spread=0.5)
    found = chance_of(shop, Floor(), plan, {**STEADY, "layer": pace}, days=MANY)
    assert found.lost_castings == pytest.approx(1 - chance_at_most(4.5 / 3, pace), abs=NEAR)


def one_urn() -> tuple[Shop, Plan]:
    orders = {"one": {"piece": "urn", "quantity": 1, "due": "2026-03-09T09:40:00"}}
    shop = u.shop_with(orders=orders)
    return shop, plan_shop(shop, Floor(), u.EIGHT)


def test_an_orders_chance_is_that_of_its_last_casting_being_in_time() -> None:
    shop, plan = one_urn()
    (outlook,) = plan.orders
    assert outlook.ready_at is not None
    pace = Pace(spread=0.4)
    found = chance_of(shop, Floor(), plan, {**STEADY, "ready": pace}, days=MANY)
    # Readying takes five minutes; what it takes more, everything after is later.
    slack = (outlook.due - outlook.ready_at).total_seconds() / 60
    assert slack > 0
    assert found.orders[0].chance == pytest.approx(chance_at_most(1 + slack / 5, pace), abs=NEAR)


def test_a_minute_lost_on_a_chain_without_slack_is_a_minute_lost_at_its_end() -> None:
    shop, plan = one_urn()
    found = chance_of(shop, Floor(), plan, {**STEADY, "ready": Pace(spread=0.3)}, days=1000)
    first = found.hurting[0]
    assert (first.kind, first.castings) == ("ready", plan.tasks[0].castings)
    assert first.minutes_per_minute == pytest.approx(1.0, abs=0.01)


def test_the_same_seed_gives_the_same_chance() -> None:
    shop, plan = one_urn()
    one, two, other = (chance_of(shop, Floor(), plan, days=500, seed=s) for s in (1, 1, 2))
    alike = {"runtime_seconds": 0.0}
    assert one.model_copy(update=alike) == two.model_copy(update=alike)
    assert one.model_copy(update=alike) != other.model_copy(update=alike)


def test_paces_come_from_the_log_where_it_has_enough_of_them() -> None:
    logged: list[tuple[Any, float, float]] = [("layer", 110.0 + n, 100.0) for n in range(-10, 11)]
    logged += [("layer", 9000.0, 100.0), ("demold", 90.0, 60.0)]
    found = paces_of(logged, {"demold": Pace(ratio=1.1, spread=0.2)})
    assert found["layer"].ratio == pytest.approx(1.1)
    # The standard deviation of the whole numbers from -10 to 10 is the root of 38.5.
    assert found["layer"].spread == pytest.approx(math.sqrt(38.5) / 100)
    assert found["demold"] == Pace(ratio=1.1, spread=0.2)
