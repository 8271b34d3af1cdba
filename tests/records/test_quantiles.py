import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorboard.records.quantiles import quantile

samples = st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=30)
kinds = st.integers(1, 9)
NUMPY_NAMES = (
    "inverted_cdf", "averaged_inverted_cdf", "closest_observation", "interpolated_inverted_cdf",
    "hazen", "weibull", "linear", "median_unbiased", "normal_unbiased",
)  # fmt: skip


@pytest.mark.parametrize(
    ("kind", "expected"),
    # Hyndman & Fan (1996), x = 1..10, p = .25.
    enumerate([3, 3, 2, 2.5, 3, 2.75, 3.25, 2.9167, 2.9375], 1),
)
def test_the_nine_types_are_those_of_hyndman_and_fan(kind, expected) -> None:
    assert quantile(range(1, 11), 0.25, kind=kind) == pytest.approx(expected, abs=5e-5)


@given(samples, st.integers(0, 40), kinds)
def test_every_type_agrees_with_the_reference_library(values, fortieth, kind) -> None:
    share = fortieth / 40
    expected = np.quantile(values, share, method=NUMPY_NAMES[kind - 1])
    assert quantile(values, share, kind=kind) == pytest.approx(float(expected), abs=1e-6, rel=1e-9)


@given(samples, st.floats(0, 1), st.floats(0, 1), kinds)
def test_a_greater_share_never_gives_a_smaller_value(values, a, b, kind) -> None:
    low, high = (quantile(values, share, kind=kind) for share in sorted((a, b)))
    assert low <= high + 1e-9 * max(1, abs(high))


@given(samples, st.floats(0, 1), kinds)
def test_a_quantile_lies_between_the_least_and_the_greatest(values, share, kind) -> None:
    found = quantile(values, share, kind=kind)
    slack = 1e-9 * max(abs(v) for v in values)
    assert min(values) - slack <= found <= max(values) + slack


@given(st.lists(st.integers(-1000, 1000), min_size=1, max_size=30), kinds)
def test_the_order_of_the_samples_does_not_matter(values, kind) -> None:
    assert quantile(values, 0.3, kind=kind) == quantile(values[::-1], 0.3, kind=kind)


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: quantile([], 0.5),
        lambda: quantile([1, math.nan], 0.5),
        lambda: quantile([1], 1.1),
        lambda: quantile([1], 0.5, kind=0),
        lambda: quantile([1], 0.5, kind=10),
    ],
)
def test_quantiles_that_cannot_be_are_refused_in_a_sentence(wrong) -> None:
    with pytest.raises(ValueError, match=r"\.$"):
        wrong()
