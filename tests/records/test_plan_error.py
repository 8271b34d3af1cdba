import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from floorboard.records.plan_error import day_error, error_trend


def test_a_days_error_is_the_middle_of_its_tasks() -> None:
    # Off by +50 %, -10 % and +20 %: the middle distance is 20 %, the middle lean +20 %.
    error = day_error([(20, 30), (10, 9), (50, 60)])
    assert (error.tasks, error.off, error.bias) == (3, pytest.approx(0.2), pytest.approx(0.2))
    assert day_error([]) is None


def test_a_plan_that_learns_is_said_to_get_better() -> None:
    trend = error_trend({day: 0.4 - 0.02 * day for day in range(12)})
    assert trend.verdict == "better"
    assert trend.slope_per_day == pytest.approx(-0.02)
    assert trend.sentence == "The plan is getting better: about 22 % off over the last five days."


def test_a_plan_that_drifts_is_said_to_get_worse() -> None:
    assert error_trend({day: 0.1 + 0.02 * day for day in range(12)}).verdict == "worse"


def test_ups_and_downs_are_no_trend() -> None:
    trend = error_trend({day: 0.2 + 0.05 * (-1) ** day for day in range(14)})
    assert trend.verdict == "no clear change"


def test_a_few_days_are_not_a_trend() -> None:
    trend = error_trend({1: 0.4, 2: 0.3, 3: 0.2})
    assert (trend.verdict, trend.chance) == ("too few days", None)
    assert trend.sentence == "3 days with a plan; 10 are needed to see a trend."
    assert error_trend({}).slope_per_day is None


@given(st.lists(st.floats(0, 2), min_size=10, max_size=30, unique=True))
def test_the_trend_agrees_with_the_reference_library(values) -> None:
    trend = error_trend(dict(enumerate(values)))
    assert trend.slope_per_day == pytest.approx(float(stats.theilslopes(values)[0]), abs=1e-9)
    # The reference has no correction for continuity: the same statistic, one step apart.
    tau = float(stats.kendalltau(range(len(values)), values).statistic)
    count = len(values)
    rises = round(tau * count * (count - 1) / 2)
    sigma = math.sqrt(count * (count - 1) * (2 * count + 5) / 18)
    expected = 2 * stats.norm.sf(max(0, abs(rises) - 1) / sigma)
    assert trend.chance == pytest.approx(float(expected), abs=1e-9)


@given(st.lists(st.sampled_from([0.1, 0.2, 0.3]), min_size=10, max_size=20))
def test_the_trend_read_backwards_is_the_opposite(values) -> None:
    opposite = {"better": "worse", "worse": "better", "no clear change": "no clear change"}
    forward = error_trend(dict(enumerate(values)))
    assert error_trend(dict(enumerate(values[::-1]))).verdict == opposite[forward.verdict]


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: day_error([(0, 5)]),
        lambda: day_error([(5, -1)]),
        lambda: day_error([(5, math.nan)]),
        lambda: error_trend({1: math.nan}),
        lambda: error_trend({1: 0.1}, confidence=1),
    ],
)
def test_errors_that_cannot_be_are_refused_in_a_sentence(wrong) -> None:
    with pytest.raises(ValueError, match=r"\.$"):
        wrong()
