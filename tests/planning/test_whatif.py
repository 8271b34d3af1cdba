"""What if: scenarios of a shop, and what more molds, people or accelerator would bring."""

from __future__ import annotations

from typing import Any

import pytest

from floorboard.planning import whatif
from floorboard.planning.scenario import Scenario, supposed
from floorboard.planning.whatif import WhatIfRow, _never_below, along, what_if
from floorboard.shop.shop import Shop
from tests.planning import urn_shop as u
from tests.planning.four_layers import four_layer_shop


def table_shop() -> Shop:
    """The urn's mix takes an accelerator at 2 % of its water: 10 min to work, 10 min to cure."""
    points = [
        {"percent": "0 %", "working_time": "20 min", "cure": "20 min"},
        {"percent": "2 %", "working_time": "10 min", "cure": "10 min"},
        {"percent": "4 %", "working_time": "5 min", "cure": "5 min"},
    ]
    mix: dict[str, Any] = {
        **u.SHOP["mixes"]["face"],
        "additives": [{"material": "salt", "percent": "2 %", "of": "water"}],
        "working_time": {"additive": "salt", "points": points},
    }
    salt = {"name": "Salt", "form": "powder", "price": "10.00 for 1 kg"}
    return u.shop_with(
        mixes={**u.SHOP["mixes"], "face": mix}, materials={**u.SHOP["materials"], "salt": salt}
    )


def test_more_molds_and_people_are_more_of_what_there_is() -> None:
    shop = supposed(u.shop_with(), Scenario(name="more", molds=5, people=3))
    assert sorted(mold.number for mold in shop.molds.values()) == [1, 2, 3, 4, 5]
    assert {mold.piece for mold in shop.molds.values()} == {"urn"}
    assert [person.name for person in shop.people.values()] == ["Ana", "Ben", "Ana"]
    fewer = supposed(u.shop_with(), Scenario(name="fewer", molds=1, people=1))
    assert list(fewer.molds) == ["urn-1"]
    assert list(fewer.people) == ["ana"]


def test_more_accelerator_shortens_work_and_cures_by_the_shops_own_table() -> None:
    shop = supposed(table_shop(), Scenario(name="fast", accelerator_percent=4))
    urn = shop.pieces["urn"]
    assert shop.mixes["face"].working_time == 5 * 60
    assert shop.mixes["face"].additives[0].percent == 4
    # Half the cure of the table at 2 %: 10 and 20 min become 5 and 10, 30 min of full cure 15.
    assert (urn.layers[0].partial_cure, urn.layers[0].recoat_by) == (300, 600)
    assert urn.full_cure == 15 * 60


def test_a_mix_without_a_table_keeps_its_times() -> None:
    assert supposed(u.shop_with(), Scenario(name="fast", accelerator_percent=4)).pieces == (
        u.shop_with().pieces
    )


def test_one_more_than_enough_molds_adds_nothing_and_the_tool_says_so() -> None:
    # Common practice, no source: 34 min of hands in a cycle of 114 min, so three molds or so keep
    # one person busy and a fifth adds nothing.
    answer = what_if(
        four_layer_shop(mix_ahead=False),
        u.EIGHT,
        along("molds", [1, 2, 3, 4, 5, 6]),
        seconds=0,
        processes=1,
    )
    made = [row.castings_per_shift for row in answer.rows]
    assert made[0] == 4.0
    assert made == sorted(made)
    assert made[5] - made[3] <= 0.05 * made[5]
    assert any(
        "keep one person busy" in said and "adds nothing" in said for said in answer.sentences
    )


def test_cost_is_all_hands_of_the_shift_and_the_material_of_its_castings() -> None:
    (row,) = what_if(
        four_layer_shop(), u.EIGHT, [Scenario(name="as it is")], seconds=0, processes=1
    ).rows
    # Eight hours at 20; four castings of four layers of 500 g, two thirds powder at 20.00 for 25 kg.
    assert row.castings_per_shift == 4.0
    assert row.labour_cost == 160.0
    assert row.material_cost == pytest.approx(4 * 2000 * 2 / 3 * 20 / 25_000, abs=0.01)
    assert row.cost_per_casting == pytest.approx((160 + row.material_cost) / 4, abs=0.01)


def test_a_bucket_for_two_layers_saves_hands_only_where_the_working_time_allows_two() -> None:
    buckets = along("largest_batch_grams", [600, 1200])

    def hands_of_one(working_time: str) -> list[float]:
        shop = four_layer_shop(4)
        coat = shop.mixes["coat"].model_dump() | {"working_time": working_time}
        shop = Shop.model_validate(shop.model_dump() | {"mixes": {"coat": coat}})
        rows = what_if(shop, u.EIGHT, buckets, seconds=0, processes=1).rows
        return [row.hands_used / row.castings_per_shift for row in rows]

    short, long = hands_of_one("12 min"), hands_of_one("25 min")
    # From wetting, two layers take half a minute and twice seven.
    assert short[1] == short[0]
    assert long[1] < 0.98 * long[0]


def test_a_figure_is_never_below_that_of_fewer_molds() -> None:
    def row(molds: int, castings: float) -> WhatIfRow:
        return WhatIfRow(
            name=f"{molds} molds",
            molds=molds,
            people=1,
            accelerator_percent=None,
            largest_batch_grams=None,
            castings_per_shift=castings,
            hands_used=0.5,
            labour_cost=100,
            material_cost=castings,
            cost_per_casting=100 / castings + 1,
        )

    # Wherever it stands in the table.
    raised = _never_below([row(4, 8.5), row(3, 9.0), row(4, 8.5), row(5, 10.0)])
    assert [entry.castings_per_shift for entry in raised] == [9.0, 9.0, 9.0, 10.0]
    for entry in (raised[0], raised[2]):
        assert entry.cost_per_casting == pytest.approx((100 + 9) / 9, abs=0.01)


def test_as_it_is_and_the_same_count_by_name_are_one_shop_planned_once(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    calls: list[str] = []

    def restless(case: Any) -> WhatIfRow:
        """A search that finds less each time it is asked."""
        calls.append(case.scenario.name)
        (row,) = what_if(case.shop, u.EIGHT, [Scenario(name="one")], seconds=0, processes=1).rows
        return row.model_copy(update={"castings_per_shift": 10.0 - len(calls)})

    real = whatif._row
    monkeypatch.setattr(
        whatif,
        "_row",
        lambda case: real(case) if case.scenario.name == "one" else restless(case),
    )
    molds = len(u.shop_with().molds)
    scenarios = [Scenario(name="as it is"), *along("molds", [molds - 1, molds])]
    as_it_is, fewer, same = what_if(u.shop_with(), u.EIGHT, scenarios, seconds=0, processes=1).rows
    assert calls == [scenarios[0].name, scenarios[1].name]
    assert same == as_it_is.model_copy(update={"name": scenarios[2].name})
    assert fewer.castings_per_shift == 8.0


def test_scenarios_run_beside_this_process_come_to_the_same() -> None:
    scenarios = along("molds", [1, 2])
    here = what_if(u.shop_with(), u.EIGHT, scenarios, seconds=0, processes=1)
    assert what_if(u.shop_with(), u.EIGHT, scenarios, seconds=0, processes=2) == here
