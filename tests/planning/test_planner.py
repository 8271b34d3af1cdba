"""Plans of whole shops: they keep every rule, follow the plan before, and say what is lost."""

from __future__ import annotations

import datetime as dt

import pytest

from floorboard.floor.floor import Floor
from floorboard.planning.check_plan import check_plan
from floorboard.planning.planner import plan_shop
from floorboard.shop.file import read_shop_file
from floorboard.shop.locations import seed_file
from tests.planning import urn_shop as u

MONDAY = dt.datetime(2026, 3, 9, tzinfo=dt.UTC)


@pytest.mark.parametrize("seed", ["demo.toml", "first.toml", "small-us.toml"])
@pytest.mark.parametrize("hour", [8, 15, 20])
def test_a_starter_shop_is_planned_within_every_rule(seed: str, hour: int) -> None:
    shop = read_shop_file(seed_file(seed))
    plan = plan_shop(shop, Floor(), MONDAY + dt.timedelta(hours=hour, seconds=201))
    assert check_plan(shop, Floor(), plan) == []
    assert plan.tasks
    assert not any("broke the rule" in note for note in plan.notes)


def test_two_molds_share_batches_and_the_day_is_filled() -> None:
    plan = plan_shop(u.shop_with(), Floor(), u.EIGHT)
    assert any(len(batch.servings) == 2 for batch in plan.batches)
    today = [c for c in plan.castings if c.demolded_at and c.demolded_at <= u.minutes(480)]
    assert len(today) >= 14
