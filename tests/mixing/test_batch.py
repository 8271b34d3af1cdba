import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from floorboard.mixing.batch import batch_for, batch_from
from floorboard.mixing.contents import contents
from floorboard.mixing.proportions import mix_findings
from floorboard.mixing.refusal import MixingError
from tests.mixing.mixes import MATERIALS, additive, material, mix


def weights(batch):
    return [addition.exact_grams for addition in batch.additions]


def test_accelerator_at_5_percent_of_part_b_of_a_2_to_1_mix_is_5_g_for_300_g() -> None:
    # Common practice, no source.
    made = mix(additives=[additive("quick", 5, "liquid-b")])
    assert weights(batch_for(made, MATERIALS, 305)) == pytest.approx([200, 100, 5])


def test_glass_at_6_percent_of_all_parts_is_18_g_and_of_everything_before_it_18_3_g() -> None:
    # Common practice, no source: 6 % of all parts (range 3 to 12 %) of a 300 g mix.
    for of, glass in (("all parts", 18.0), ("everything before it", 18.3)):
        made = mix(additives=[additive("quick", 5, "liquid-b"), additive("glass", 6, of)])
        batch = batch_for(made, MATERIALS, 305 + glass, resolution_grams=0.1)
        assert weights(batch) == pytest.approx([200, 100, 5, glass])
        assert batch.additions[-1].in_words == f"6 % of {of}"
        assert batch.additions[-1].base_grams == pytest.approx(300 if glass == 18 else 305)


def test_stock_of_40_g_in_480_g_of_water_is_7_69_percent() -> None:
    # Common practice, no source: the accelerator stock of 1:12 by weight.
    assert MATERIALS["quick-stock"].solution.strength_percent == pytest.approx(7.69, abs=0.005)
    assert contents("quick-stock", 520, MATERIALS) == pytest.approx(
        {"quick-salt": 40, "water": 480}
    )


def test_a_stock_solution_is_weighed_by_its_active_stuff_only_where_the_mix_says_so() -> None:
    as_weighed = mix(additives=[additive("quick-stock", 1, "liquid-b")])
    assert weights(batch_for(as_weighed, MATERIALS, 301))[-1] == pytest.approx(1.0)
    as_active = mix(additives=[additive("quick-stock", 1, "liquid-b", counted_as="active")])
    batch = batch_for(as_active, MATERIALS, 313, resolution_grams=0.01)
    # 1 g of salt needs 13 g of a 1:12 stock.
    assert weights(batch) == pytest.approx([200, 100, 13])
    assert batch.by_active["quick-salt"] == pytest.approx(1.0)
    assert batch.by_active["water"] == pytest.approx(12.0)
    assert batch.by_material["quick-stock"] == pytest.approx(13.0)


def test_parts_by_volume_go_by_their_densities() -> None:
    dense = {**MATERIALS, "powder-a": material("powder", density="0.9 g/ml")}
    batch = batch_for(mix(by="volume"), dense, 1.8 + 1.05, resolution_grams=0.001)
    assert weights(batch) == pytest.approx([1.8, 1.05])


def test_what_stays_in_the_bucket_is_made_on_top() -> None:
    batch = batch_for(mix(loss={"each": "20 g", "share": "5 %"}), MATERIALS, 930)
    assert batch.made_grams == pytest.approx(1000)
    assert batch.allowance_grams == pytest.approx(70)


def test_all_powders_and_all_liquids_count_the_parts_of_that_form() -> None:
    made = mix(
        additives=[additive("quick", 10, "all liquids"), additive("glass", 1, "all powders")]
    )
    assert weights(batch_for(made, MATERIALS, 312)) == pytest.approx([200, 100, 10, 2])


def test_an_additive_can_be_taken_of_another_listed_after_it() -> None:
    made = mix(additives=[additive("quick", 50, "glass"), additive("glass", 10, "powder-a")])
    assert weights(batch_for(made, MATERIALS, 330)) == pytest.approx([200, 100, 10, 20])


def test_a_percentage_outside_the_suppliers_range_is_said() -> None:
    made = mix(additives=[additive("glass", 6, "all parts", least="3 %", most="12 %")])
    assert batch_for(made, MATERIALS, 1000).remarks == ()
    (over,) = batch_for(made, MATERIALS, 1000, percents={"glass": 13}).remarks
    assert "13 % of all parts is over the supplier's range, which ends at 12 %" in over
    (under,) = batch_for(made, MATERIALS, 1000, percents={"glass": 2}).remarks
    assert "under the supplier's range, which begins at 3 %" in under


def test_an_addition_too_small_for_the_scale_is_said_with_both_weights() -> None:
    made = mix(additives=[additive("quick", 0.4, "liquid-b")])
    batch = batch_for(made, MATERIALS, 300.4)
    assert batch.additions[-1].grams == 0
    assert "should be 0.4 g and can be weighed as 0 g" in batch.remarks[0]


def test_200_g_of_powder_on_hand_makes_the_batch_that_takes_it_all() -> None:
    made = mix(loss={"each": "10 g"}, additives=[additive("quick", 5, "liquid-b")])
    batch = batch_from(made, MATERIALS, "powder-a", 200)
    assert weights(batch) == pytest.approx([200, 100, 5])
    assert batch.wanted_grams == pytest.approx(295)


REFUSALS = [
    ({}, 0, "wanted: found 0 g, expected an amount above nothing"),
    ({}, float("nan"), "wanted: found nan g"),
    ({}, 3001, "largest_batch: found a batch of 3001 g .* at most the 3000 g the bucket holds"),
    ({"by": "volume"}, 9, "parts.0.material: found 2 parts by volume of powder-a, .* no density"),
    (
        {"additives": [additive("glass", 6, "part b")]},
        9,
        r"additives.0.of: found 'part b', which is not in the mix; expected one of: powder-a,",
    ),
    (
        {"additives": [additive("quick", 5, "glass"), additive("glass", 6, "quick")]},
        9,
        "of: found bases that go in a circle, quick of glass of quick",
    ),
    ({"additives": [additive("glass", 6, "glass")]}, 9, "in a circle, glass of glass"),
    (
        {
            "additives": [
                additive("quick", 5, "glass"),
                additive("glass", 6, "everything before it"),
            ]
        },
        9,
        "in a circle",
    ),
    (
        {"additives": [additive("quick", 5, "liquid-b", counted_as="active")]},
        9,
        "no stock solution",
    ),
    ({"additives": [additive("sand", 5, "liquid-b")]}, 9, "'sand', which is no material of the"),
    (
        {
            "parts": [{"material": "liquid-b", "parts": 1}],
            "additives": [additive("glass", 6, "all powders")],
        },
        9,
        "additives.0.of: found 'all powders', but no part is a powder",
    ),
]


@pytest.mark.parametrize(("changes", "wanted", "sentence"), REFUSALS)
def test_a_mistaken_batch_is_refused_with_its_field_and_numbers(changes, wanted, sentence) -> None:
    with pytest.raises(MixingError, match=sentence):
        batch_for(mix(**changes), MATERIALS, wanted)


def test_all_mistakes_of_a_mix_are_found_at_once() -> None:
    made = mix(additives=[additive("glass", 6, "sand"), additive("quick", 6, "gravel")])
    assert [finding.field for finding in mix_findings(made, MATERIALS)] == [
        "additives.0.of",
        "additives.1.of",
    ]


def test_a_percentage_for_something_that_is_no_additive_is_refused() -> None:
    with pytest.raises(MixingError, match="found 'powder-a', which is no additive"):
        batch_for(mix(), MATERIALS, 9, percents={"powder-a": 4})


def test_stock_solutions_made_of_one_another_are_refused() -> None:
    one = material("liquid", solution={"active": "two", "amount": "1 g", "water": "1 g"})
    two = material("liquid", solution={"active": "one", "amount": "1 g", "water": "1 g"})
    with pytest.raises(MixingError, match="in a circle, one of two of one"):
        contents("one", 5, {"one": one, "two": two})


grams = st.floats(1, 1400, allow_nan=False)
percents = st.integers(1, 3000).map(lambda tenths: tenths / 100)
bases = st.sampled_from(
    ["liquid-b", "all parts", "all powders", "all liquids", "everything before it"]
)


@st.composite
def any_mix(draw):
    kinds = draw(st.lists(st.sampled_from(["quick", "glass", "quick-stock"]), unique=True))
    return mix(
        parts=[
            {"material": "powder-a", "parts": draw(st.integers(1, 40))},
            {"material": "liquid-b", "parts": draw(st.integers(1, 40))},
        ],
        additives=[additive(kind, draw(percents), draw(bases)) for kind in kinds],
        loss={"each": f"{draw(st.integers(0, 50))} g", "share": f"{draw(st.integers(0, 20))} %"},
    )


@settings(max_examples=60, deadline=None)
@given(any_mix(), grams, st.sampled_from([0.1, 0.5, 1.0, 2.0]))
def test_rounding_never_moves_an_addition_by_more_than_half_a_division(made, wanted, scale) -> None:
    batch = batch_for(made, MATERIALS, wanted, resolution_grams=scale)
    assert all(abs(one.error_grams) <= scale / 2 + 1e-9 for one in batch.additions)
    assert sum(weights(batch)) == pytest.approx(batch.made_grams)
    assert sum(one.grams for one in batch.additions) == pytest.approx(batch.weighed_grams)
    assert sum(batch.by_active.values()) == pytest.approx(batch.weighed_grams)


@settings(max_examples=60, deadline=None)
@given(any_mix(), grams, st.floats(1.0, 1.5))
def test_parts_scale_linearly_with_what_is_made(made, wanted, factor) -> None:
    less = batch_for(made, MATERIALS, wanted)
    more = batch_from(made, MATERIALS, "powder-a", weights(less)[0] * factor)
    assert weights(more) == pytest.approx([one * factor for one in weights(less)])


def test_a_percentage_without_a_base_is_refused_by_its_field() -> None:
    bare = {"material": "quick", "percent": "5 %"}
    with pytest.raises(ValidationError, match=r"additives\.0\.of\s+Field required"):
        mix(additives=[bare])
