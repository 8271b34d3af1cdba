import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floorboard.mixing.amounts import (
    coverage_grams,
    grams_from_casting,
    layer_grams,
    made_grams,
    thickness_mm,
    usable_grams,
)
from floorboard.mixing.refusal import MixingError
from floorboard.shop.pieces import Layer
from floorboard.shop.quantities import Length
from tests.mixing.mixes import mix


def layer(**amount) -> Layer:
    return Layer.model_validate({"mix": "two-to-one", "apply": "7 min", **amount})


def test_a_layer_given_in_grams_takes_those_grams() -> None:
    assert layer_grams(layer(amount="420 g"), mix()) == 420


def test_a_layer_by_thickness_takes_thickness_times_area_times_set_density() -> None:
    # 2.5 mm over 1800 cm2 is 450 ml.
    by_coverage = layer(thickness="2.5 mm", area="1800 cm²")
    assert layer_grams(by_coverage, mix()) == pytest.approx(450 * 1.8)
    # The shop's rule in cm2: 10 w / (d A) mm (arithmetic of thickness = volume over area).
    assert thickness_mm(810, 180_000, 1.8) == pytest.approx(10 * 810 / (1.8 * 1800))


def test_a_finished_wall_of_three_eighths_of_an_inch_is_9_525_mm() -> None:
    # NIST SP 811: 1 in = 25.4 mm exactly.
    wall = Length.parse("3/8 in")
    assert wall == 9.525
    grams = coverage_grams(wall, 180_000, 1.8)
    assert thickness_mm(grams, 180_000, 1.8) == pytest.approx(9.525)


def test_four_equal_layers_of_about_2_4_mm_make_a_wall_of_about_9_5_mm() -> None:
    # Common practice, no source.
    grams = 4 * layer_grams(layer(thickness="2.38 mm", area="1800 cm²"), mix())
    assert thickness_mm(grams, 180_000, 1.8) == pytest.approx(9.5, abs=0.05)


def test_a_layer_by_thickness_needs_the_mixs_set_density() -> None:
    with pytest.raises(MixingError, match="set_density: found none on the mix 'Two to one'"):
        layer_grams(layer(thickness="2.5 mm", area="1800 cm²"), mix(set_density=None))


@pytest.mark.parametrize(("area", "density", "field"), [(0, 1.8, "area"), (9, 0, "set_density")])
def test_no_thickness_without_area_and_density(area, density, field) -> None:
    with pytest.raises(MixingError, match=f"{field}: found 0 "):
        thickness_mm(100, area, density)


def test_layers_follow_the_weight_of_the_last_good_casting_in_their_proportions() -> None:
    assert grams_from_casting([400, 600], 1100) == pytest.approx((440, 660))
    # Dry, a casting of the nominal amounts weighs 900 g.
    assert grams_from_casting([400, 600], 990, 900) == pytest.approx((440, 660))
    with pytest.raises(MixingError, match="found 0 g against an expected 1000 g"):
        grams_from_casting([400, 600], 0)


@settings(max_examples=50, deadline=None)
@given(st.floats(1, 5000), st.integers(0, 100), st.integers(0, 60))
def test_what_is_made_leaves_exactly_what_is_wanted(wanted, each, share) -> None:
    made = mix(loss={"each": f"{each} g", "share": f"{share} %"})
    assert usable_grams(made, made_grams(made, wanted)) == pytest.approx(wanted)
