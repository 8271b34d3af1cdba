import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorboard.mixing.maturity import CureConstants, age_factor, equivalent_age_hours

temperatures = st.floats(-10, 60)


@pytest.mark.parametrize(
    # Form of ASTM C1074, Q 5000 K, Ts 20 C, K = C + 273 (figures computed).
    ("celsius", "factor"), [(10, 0.54717), (20, 1.0), (30, 1.75628)],
)  # fmt: skip
def test_the_cure_clock_runs_with_temperature(celsius, factor) -> None:
    assert age_factor(celsius) == pytest.approx(factor, abs=5e-6)


@given(temperatures, st.floats(0, 100), st.floats(0, 1))
def test_a_spell_split_in_two_adds_up_to_the_same_age(celsius, hours, share) -> None:
    split = [(hours * share, celsius), (hours * (1 - share), celsius)]
    assert equivalent_age_hours(split) == pytest.approx(equivalent_age_hours([(hours, celsius)]))


@given(temperatures, st.floats(0.1, 20))
def test_warmer_cures_faster(celsius, more) -> None:
    assert age_factor(celsius + more) > age_factor(celsius)


@given(st.floats(1, 20000), temperatures)
def test_at_the_reference_temperature_the_clock_is_the_one_on_the_wall(kelvin, reference) -> None:
    assert age_factor(reference, CureConstants(kelvin, reference)) == 1


def test_no_time_is_no_age() -> None:
    assert equivalent_age_hours([]) == 0


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: age_factor(-273),
        lambda: age_factor(150),
        lambda: age_factor(math.nan),
        lambda: equivalent_age_hours([(-1, 20)]),
        lambda: equivalent_age_hours([(math.inf, 20)]),
        lambda: CureConstants(0, 20),
        lambda: CureConstants(5000, 1000),
    ],
)
def test_impossible_temperatures_and_times_are_refused_in_a_sentence(wrong) -> None:
    with pytest.raises(ValueError, match=r"\.$"):
        wrong()
