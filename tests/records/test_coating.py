import math
import tomllib

import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorboard.records.coating import coating_conditions, dew_point_celsius, vapour_pressure_hpa
from floorboard.shop.locations import shared_file

# A coating inspector's printed table, in the shared file of that name.
TABLE = tomllib.loads(shared_file("dew_point_table.toml").read_text("utf-8"))["points"]

air = st.floats(0, 45)
humidity = st.floats(10, 100)


@pytest.mark.parametrize(("celsius", "percent", "expected"), TABLE)
def test_the_dew_point_is_that_of_the_published_coating_table(celsius, percent, expected) -> None:
    assert dew_point_celsius(celsius, percent) == pytest.approx(expected, abs=0.11)


@given(air, humidity)
def test_the_dew_point_agrees_with_the_reference_library(celsius, percent) -> None:
    # psychrolib switches to ice below freezing; the WMO formula here is over water throughout.
    psychrolib.SetUnitSystem(psychrolib.SI)
    expected = psychrolib.GetTDewPointFromRelHum(celsius, percent / 100)
    if expected > 0.01:
        assert dew_point_celsius(celsius, percent) == pytest.approx(expected, abs=0.11)


@given(air, humidity)
def test_air_at_its_dew_point_is_saturated(celsius, percent) -> None:
    dew = dew_point_celsius(celsius, percent)
    assert dew <= celsius + 1e-9
    assert vapour_pressure_hpa(dew) == pytest.approx(vapour_pressure_hpa(celsius) * percent / 100)


@given(air, humidity, st.floats(0, 50))
def test_the_board_says_wait_exactly_when_the_margin_is_under_3_c(
    celsius, percent, surface
) -> None:
    found = coating_conditions(celsius, percent, surface)
    assert found.wait is (surface - found.dew_point_celsius < 3)
    assert found.sentence.startswith("Wait:" if found.wait else "Clear")


def test_a_cold_casting_in_damp_air_waits_and_is_told_why() -> None:
    found = coating_conditions(20, 70, 15)
    assert found.sentence == (
        "Wait: the surface (15.0 C) is 0.6 C above the dew point (14.4 C); "
        "3 C above is needed. Warm the casting or dry the air."
    )
    assert "below the dew point" in coating_conditions(20, 90, 15).sentence


def test_a_warm_dry_casting_may_be_coated_with_the_usual_caution() -> None:
    found = coating_conditions(20, 50, 19)
    assert not found.wait
    assert found.margin_celsius == pytest.approx(9.7, abs=0.11)
    assert "safety data sheet" in found.sentence


def test_a_data_sheet_may_ask_for_more_than_3_c() -> None:
    assert not coating_conditions(20, 50, 13).wait
    assert coating_conditions(20, 50, 13, least_margin_celsius=5).wait


@pytest.mark.parametrize(
    ("celsius", "percent", "surface"),
    [
        (20, 0, 20),
        (20, -5, 20),
        (20, 101, 20),
        (20, math.nan, 20),
        (200, 50, 20),
        (-60, 50, 20),
        (math.inf, 50, 20),
        (20, 50, 500),
        (20, 50, math.nan),
    ],
)
def test_impossible_readings_are_refused_in_a_sentence(celsius, percent, surface) -> None:
    with pytest.raises(ValueError, match=r"\.$"):
        coating_conditions(celsius, percent, surface)
