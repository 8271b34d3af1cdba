import math
import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorboard.mixing.gypsum import (
    combined_water_share,
    dry_casting_grams,
    dry_density_kg_per_m3,
    drying_heat_warning,
    free_water_grams,
    hydration_water_grams,
)
from floorboard.shop.locations import shared_file

DENSITIES = tomllib.loads(shared_file("plaster_density.toml").read_text("utf-8"))["points"]

grams = st.floats(0, 1e5)


def test_setting_takes_up_the_water_that_stoichiometry_says() -> None:
    # IUPAC abridged atomic masses: 18.618 g to 100 g of hemihydrate, 118.618 g together.
    assert hydration_water_grams(100) == pytest.approx(18.618, abs=5e-4)
    assert dry_casting_grams(100, 70) == pytest.approx(118.618, abs=5e-4)


def test_a_fifth_of_set_plaster_is_water() -> None:
    # IUPAC abridged atomic masses: 20.928 % of the dihydrate.
    assert combined_water_share() == pytest.approx(0.20928, abs=5e-6)


def test_the_densities_kept_are_those_published() -> None:
    # Typical physical data as published by plaster makers, kg/m3 by parts of water.
    published = {74: 1057, 70: 1106, 65: 1162, 45: 1442, 38: 1588}
    assert len(DENSITIES) == len(published)
    assert {parts: density for parts, density in DENSITIES} == published


@pytest.mark.parametrize(("water_parts", "published"), DENSITIES)
def test_dry_density_is_within_one_and_a_half_percent_of_that_published(
    water_parts, published
) -> None:
    assert dry_density_kg_per_m3(water_parts) == pytest.approx(published, rel=0.015)


@given(grams, grams)
def test_all_water_is_either_taken_up_or_dries_out(plaster, water) -> None:
    assert dry_casting_grams(plaster, water) + free_water_grams(plaster, water) == pytest.approx(
        plaster + water
    )
    assert free_water_grams(plaster, water) >= 0


@given(st.floats(19, 200), st.floats(0.1, 20))
def test_more_water_makes_a_lighter_casting(parts, more) -> None:
    assert dry_density_kg_per_m3(min(200, parts + more)) <= dry_density_kg_per_m3(parts)


def test_drying_air_hotter_than_set_plaster_bears_is_warned_of() -> None:
    # Gypsum drying leaflets: no more than about 49 C (120 F).
    assert drying_heat_warning(45) is None
    assert drying_heat_warning(49) is None
    assert "49 C or below" in drying_heat_warning(60)


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: hydration_water_grams(-1),
        lambda: hydration_water_grams(math.nan),
        lambda: dry_casting_grams(100, -1),
        lambda: dry_casting_grams(100, 70, -1),
        lambda: free_water_grams(100, math.inf),
        lambda: dry_density_kg_per_m3(18),
        lambda: dry_density_kg_per_m3(201),
        lambda: drying_heat_warning(math.nan),
        lambda: drying_heat_warning(-300),
    ],
)
def test_impossible_amounts_are_refused_in_a_sentence(wrong) -> None:
    with pytest.raises(ValueError, match=r"\.$"):
        wrong()
