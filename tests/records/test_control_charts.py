import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate, special, stats

from floorboard.records.chart_baseline import baseline_limits
from floorboard.records.control_charts import (
    chart_factors,
    ewma_chart,
    factors_for,
    individuals_chart,
    limits_around,
    mean_range_chart,
)

# NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2.
NIST_INDIVIDUALS = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]
# NIST/SEMATECH e-Handbook, 6.3.2.4.
NIST_EWMA = [52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5, *NIST_INDIVIDUALS]

values_of_a_chart = st.lists(st.floats(-1e4, 1e4), min_size=2, max_size=40)


def test_individuals_limits_are_those_of_the_nist_handbook() -> None:
    chart = individuals_chart(NIST_INDIVIDUALS)
    assert chart.limits.center == pytest.approx(50.81, abs=5e-5)
    assert chart.range_limits.center == pytest.approx(1.8778, abs=5e-5)
    assert chart.limits.upper == pytest.approx(55.8041, abs=5e-5)
    assert chart.limits.lower == pytest.approx(45.8159, abs=5e-5)
    assert chart.limits.outside(chart.values) == ()


def test_ewma_is_that_of_the_nist_handbook() -> None:
    chart = ewma_chart(NIST_EWMA, 50, 2.0539, smoothing=0.3)
    assert chart.upper[-1] == pytest.approx(52.5884, abs=5e-5)
    assert chart.lower[-1] == pytest.approx(47.4116, abs=5e-5)
    assert chart.averages[-1] == pytest.approx(51.99, abs=5e-3)
    assert chart.signals == ()


@pytest.mark.parametrize(
    ("size", "printed"),
    [
        # Walpole, Myers, Myers & Ye, Table A.22.
        (2, {"A2": 1.880, "d2": 1.128, "D3": 0, "D4": 3.267, "c4": 0.7979}),
        (5, {"A2": 0.577, "d2": 2.326, "D3": 0, "D4": 2.114, "c4": 0.9400}),
    ],
)
def test_factors_are_those_printed(size, printed) -> None:
    for name, value in printed.items():
        assert getattr(factors_for(size), name) == value


@pytest.mark.parametrize("size", [2, 3, 5, 10, 25])
def test_factors_agree_with_their_definitions(size) -> None:
    """d2 is the mean range of normal values: the integral of 1 - F^n - (1-F)^n."""
    cdf = stats.norm.cdf
    d2, _ = integrate.quad(lambda x: 1 - cdf(x) ** size - cdf(-x) ** size, -12, 12)
    log_c4 = special.gammaln(size / 2) - special.gammaln((size - 1) / 2)
    c4 = math.sqrt(2 / (size - 1)) * math.exp(log_c4)
    factors = factors_for(size)
    assert factors.d2 == pytest.approx(d2, abs=6e-4)
    assert factors.c4 == pytest.approx(c4, abs=6e-5)
    assert pytest.approx(3 / (d2 * math.sqrt(size)), abs=6e-4) == factors.A2
    assert pytest.approx(3 / (c4 * math.sqrt(size)), abs=6e-4) == factors.A3
    assert pytest.approx(1 + 3 * factors.d3 / d2, abs=2e-3) == factors.D4
    assert pytest.approx(1 + 3 * math.sqrt(1 - c4**2) / c4, abs=6e-4) == factors.B4


def test_the_table_of_factors_has_every_size_from_2_to_25() -> None:
    assert sorted(chart_factors()) == list(range(2, 26))
    with pytest.raises(ValueError, match="2 to 25"):
        factors_for(26)


def test_mean_and_range_limits_worked_by_hand() -> None:
    # Means 11 and 13, ranges 2 and 2: centre 12, reach A2 x 2 = 3.76, range limit D4 x 2.
    chart = mean_range_chart([[10, 12], [12, 14]])
    assert chart.mean_limits.lower == pytest.approx(12 - 3.76)
    assert chart.mean_limits.upper == pytest.approx(12 + 3.76)
    assert chart.range_limits.upper == pytest.approx(6.534)
    assert chart.range_limits.lower == 0


def test_early_ewma_limits_start_narrow_and_settle() -> None:
    early = ewma_chart([50.0] * 40, 50, 2, smoothing=0.2, settled=False)
    settled = ewma_chart([50.0] * 40, 50, 2, smoothing=0.2)
    assert early.upper[0] == pytest.approx(50 + 3 * 2 * 0.2)
    assert list(early.upper) == sorted(early.upper)
    assert early.upper[-1] == pytest.approx(settled.upper[-1], abs=1e-6)


@given(values_of_a_chart)
def test_ewma_that_takes_only_the_newest_value_is_the_individuals_chart(values) -> None:
    individuals = individuals_chart(values)
    limits = individuals.limits
    ewma = ewma_chart(values, limits.center, limits.sigma, smoothing=1.0)
    assert ewma.averages == individuals.values
    assert ewma.upper[0] == pytest.approx(limits.upper)
    assert ewma.lower[0] == pytest.approx(limits.lower)


@given(values_of_a_chart, st.floats(0.05, 1.0))
def test_ewma_stays_between_the_least_and_the_greatest_value(values, smoothing) -> None:
    chart = ewma_chart(values, values[0], 1.0, smoothing=smoothing)
    slack = 1e-9 * (1 + max(abs(v) for v in values))
    assert all(min(values) - slack <= a <= max(values) + slack for a in chart.averages)


@given(values_of_a_chart, st.floats(-1000, 1000))
def test_limits_move_with_the_values(values, step) -> None:
    here = individuals_chart(values).limits
    there = individuals_chart([v + step for v in values]).limits
    assert there.center == pytest.approx(here.center + step, abs=1e-6)
    assert there.sigma == pytest.approx(here.sigma, abs=1e-6)


def test_a_casting_unlike_the_rest_does_not_set_the_limits() -> None:
    good = [100.0, 101, 99, 100, 102, 98, 101, 100, 99, 100] * 2
    spoiled = [*good[:10], 160.0, *good[10:]]
    baseline = baseline_limits(spoiled)
    assert baseline.set_aside == (10,)
    assert baseline.limits.center == pytest.approx(100)
    assert baseline.settled
    assert "1 set aside" in baseline.sentence


def test_limits_from_few_castings_are_called_provisional() -> None:
    baseline = baseline_limits([100.0, 101, 99])
    assert not baseline.settled
    assert "provisional" in baseline.sentence


def test_two_states_in_turn_are_not_charted_as_one() -> None:
    baseline = baseline_limits([100.0, 100.1] * 8 + [150.0, 150.1] * 8)
    assert not baseline.settled
    assert "differ too much" in baseline.sentence


@given(st.lists(st.floats(1, 1e4), min_size=2, max_size=40))
@settings(max_examples=60)
def test_a_baseline_keeps_every_casting_or_names_it(values) -> None:
    baseline = baseline_limits(values)
    assert sorted(baseline.kept + baseline.set_aside) == list(range(len(values)))
    assert 3 * len(baseline.kept) >= 2 * len(values)


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: individuals_chart([1.0]),
        lambda: individuals_chart([1.0, math.nan]),
        lambda: ewma_chart([math.inf], 0, 1),
        lambda: ewma_chart([1.0], 0, 1, smoothing=0),
        lambda: ewma_chart([1.0], 0, 1, smoothing=1.1),
        lambda: limits_around(0, -1),
        lambda: limits_around(0, 1, 0),
        lambda: mean_range_chart([]),
        lambda: mean_range_chart([[1, 2], [1, 2, 3]]),
        lambda: baseline_limits([1.0]),
    ],
)
def test_values_no_chart_can_be_made_of_are_refused_in_a_sentence(wrong) -> None:
    with pytest.raises(ValueError, match=r"\.$"):
        wrong()
