"""Plans held against common practice of the trade (no source)."""

from __future__ import annotations

import pytest

from floorboard.floor.floor import Floor
from floorboard.planning.check_plan import check_plan
from floorboard.planning.planner import plan_shop
from tests.planning import urn_shop as u
from tests.planning.four_layers import four_layer_shop


@pytest.mark.parametrize(("mix_ahead", "minutes"), [(False, 114.0), (True, 109.5)])
def test_four_layers_can_be_demolded_so_long_after_the_first_mix_starts(
    mix_ahead: bool, minutes: float
) -> None:
    # 4 x (1.5 + 7) + 3 x 15 + 35 = 114 min; mixing ahead hides three of the four mixes.
    shop = four_layer_shop(mix_ahead=mix_ahead)
    plan = plan_shop(shop, Floor(), u.EIGHT)
    assert check_plan(shop, Floor(), plan) == []
    first_mix = min(batch.start for batch in plan.batches)
    demold = min(task.start for task in plan.tasks if task.kind == "demold")
    assert (demold - first_mix).total_seconds() / 60 == minutes


def test_no_mix_is_begun_before_the_cure_where_that_is_the_way_of_the_shop() -> None:
    shop = four_layer_shop(2, mix_ahead=False)
    ahead = plan_shop(four_layer_shop(2), Floor(), u.EIGHT)
    assert check_plan(shop, Floor(), plan_shop(shop, Floor(), u.EIGHT)) == []
    assert "mix ahead" in {breach.rule for breach in check_plan(shop, Floor(), ahead)}
