from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import PchipInterpolator

from floorboard.mixing.monotone import Monotone
from floorboard.mixing.refusal import MixingError
from floorboard.mixing.working_time import (
    cure_factor,
    percent_for,
    working_seconds,
    working_time,
)
from tests.mixing.mixes import GLASS_TABLE, additive, mix


def quick_mix(percent: float = 5, **more):
    return mix(additives=[additive("quick", percent, "liquid-b")], working_time=GLASS_TABLE, **more)


def test_30_min_unaccelerated_against_7_min_at_5_percent() -> None:
    # Common practice, no source: working time about 30 min and cure about 90 min unaccelerated
    # against about 7 min at 5 %.
    assert working_seconds(quick_mix(), percent=0) == 30 * 60
    assert working_time(quick_mix(), percent=0).cure_seconds == 90 * 60
    assert working_seconds(quick_mix()) == 7 * 60


def test_without_a_percentage_the_mixs_own_counts() -> None:
    assert working_time(quick_mix(percent=2)).seconds == 15 * 60
    assert working_time(mix(working_time=GLASS_TABLE)).percent == 0


def test_a_fixed_working_time_is_given_as_it_stands() -> None:
    assert working_seconds(mix()) == 7 * 60
    assert working_time(mix()).cure_seconds is None


def test_past_the_end_of_the_table_the_end_is_given_and_said_to_be_that() -> None:
    past = working_time(quick_mix(), percent=9)
    assert past.seconds == 7 * 60
    assert not past.within_table
    assert (
        "9 % of quick is past the table's end: the working time of 7 min holds for 5 %"
        in past.remarks[0]
    )
    assert working_time(quick_mix(), percent=5).within_table


def test_wanted_minutes_give_the_percentage_and_back() -> None:
    assert percent_for(quick_mix(), 15 * 60) == pytest.approx(2)
    percent = percent_for(quick_mix(), 10 * 60)
    assert working_seconds(quick_mix(), percent) == pytest.approx(600)


@pytest.mark.parametrize("minutes", [5, 31])
def test_a_wanted_time_outside_the_table_is_refused_with_its_ends(minutes) -> None:
    with pytest.raises(MixingError, match=f"wanted {minutes} min, expected between 7 min and 30"):
        percent_for(quick_mix(), minutes * 60)


def test_the_ends_of_the_table_themselves_can_be_wanted_at_any_temperature() -> None:
    warm = quick_mix(temperature=[{"at": "15 C", "factor": 1.4}, {"at": "21 C", "factor": 0.7}])
    for celsius in (15, 16, 17, 18.3, 21):
        for percent in (0, 5):
            there = working_seconds(warm, percent, celsius)
            assert percent_for(warm, there, celsius) == pytest.approx(percent)


@pytest.mark.parametrize("seconds", [-1, float("nan"), float("inf")])
def test_a_wanted_time_that_is_no_time_is_refused(seconds) -> None:
    with pytest.raises(MixingError, match="working_time: found a wanted"):
        percent_for(quick_mix(), seconds)


def test_a_temperature_that_is_no_number_is_refused() -> None:
    with pytest.raises(MixingError, match="temperature: found nan C"):
        working_time(quick_mix(temperature=TEMPERATURE), temperature=float("nan"))


def test_minutes_to_percent_needs_a_table() -> None:
    with pytest.raises(MixingError, match="working_time: found no table on the mix 'Two to one'"):
        percent_for(mix(), 600)


TEMPERATURE = [{"at": "15 C", "factor": 1.4}, {"at": "21 C", "factor": 1.0}]


def test_every_time_is_multiplied_by_the_factor_of_the_temperature() -> None:
    cold = working_time(quick_mix(temperature=TEMPERATURE), temperature=15)
    assert cold.seconds == pytest.approx(7 * 60 * 1.4)
    assert cold.cure_seconds == pytest.approx(20 * 60 * 1.4)
    assert working_seconds(quick_mix(temperature=TEMPERATURE), temperature=18) == pytest.approx(
        7 * 60 * 1.2
    )
    colder = working_time(quick_mix(temperature=TEMPERATURE), temperature=5)
    assert colder.seconds == pytest.approx(7 * 60 * 1.4)
    assert "5 C is past the end of the temperature table at 15 C" in colder.remarks[0]


def test_without_a_temperature_table_the_maturity_clock_counts_where_there_are_constants() -> None:
    # Form of ASTM C1074, Q 5000 K, Ts 20 C: factors 0.54717 at 10 C and 1.75628 at 30 C.
    clock = mix(maturity={"q_kelvin": 5000, "reference": "20 C"})
    for celsius, factor in ((10, 0.54717), (20, 1.0), (30, 1.75628)):
        assert working_seconds(clock, temperature=celsius) == pytest.approx(420 / factor, rel=1e-5)
    both = mix(maturity={"q_kelvin": 5000, "reference": "20 C"}, temperature=TEMPERATURE)
    assert working_seconds(both, temperature=15) == pytest.approx(420 * 1.4)
    with pytest.raises(MixingError, match="temperature: "):
        working_seconds(clock, temperature=400)


def test_in_the_cold_more_of_the_additive_gives_the_same_working_time() -> None:
    cold = quick_mix(temperature=TEMPERATURE)
    assert percent_for(cold, 21 * 60, temperature=15) == pytest.approx(2)


def test_waits_follow_the_cure_of_the_percentage_in_this_batch_and_the_temperature() -> None:
    made = quick_mix(temperature=TEMPERATURE)
    assert cure_factor(made) == 1.0
    assert cure_factor(made, percent=2) == pytest.approx(45 / 20)
    assert cure_factor(made, percent=2, temperature=15) == pytest.approx(1.4 * 45 / 20)
    assert cure_factor(mix(), percent=2) == 1.0


rising = st.lists(st.integers(0, 200), min_size=2, max_size=9, unique=True).map(sorted)


@settings(max_examples=60, deadline=None)
@given(rising, st.data())
def test_the_curve_is_scipys_pchip(xs, data) -> None:
    ys = data.draw(st.lists(st.integers(0, 5000), min_size=len(xs), max_size=len(xs)))
    curve, reference = Monotone.through(xs, ys), PchipInterpolator(xs, ys)
    for x in np.linspace(xs[0], xs[-1], 31):
        assert curve.at(float(x)) == pytest.approx(float(reference(x)), rel=1e-9, abs=1e-6)


@settings(max_examples=40, deadline=None)
@given(rising, st.data())
def test_a_falling_table_gives_a_falling_curve_that_turns_back_exactly(xs, data) -> None:
    ys = sorted(
        data.draw(st.lists(st.integers(0, 5000), min_size=len(xs), max_size=len(xs), unique=True)),
        reverse=True,
    )
    curve = Monotone.through(xs, ys)
    values = [curve.at(float(x)) for x in np.linspace(xs[0], xs[-1], 40)]
    assert all(before >= after for before, after in pairwise(values))
    for wanted in np.linspace(ys[-1], ys[0], 12):
        assert curve.at(curve.least_x_for(float(wanted))) == pytest.approx(
            wanted, rel=1e-6, abs=1e-6
        )


def test_through_two_points_the_curve_is_numpys_straight_line() -> None:
    curve = Monotone.through([0, 5], [1800, 420])
    for x in (0.0, 0.7, 2.5, 5.0):
        assert curve.at(x) == pytest.approx(np.interp(x, [0, 5], [1800, 420]))
