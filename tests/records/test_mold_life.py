import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate, special, stats

from floorboard.records.mold_life import mold_forecast
from floorboard.records.mold_survival import survival_curve
from floorboard.records.weibull import WeibullLife, fit_weibull, scaled_upper_gamma

# NIST/SEMATECH e-Handbook 8.2.1.5.
NIST_KM = (
    [10, 32, 56, 98, 122, 181, 50, 100, 125, 150, *[200] * 10],
    [True] * 6 + [False] * 14,
)
# NIST/SEMATECH e-Handbook 8.2.2.1 and 8.4.1.3.
NIST_WEIBULL = (
    [54, 187, 216, 240, 244, 335, 361, 373, 375, 386, *[500] * 10],
    [True] * 10 + [False] * 10,
)


@st.composite
def lives(draw, least=1, failures=0):
    pulls = draw(st.lists(st.integers(1, 400), min_size=max(least, failures), max_size=25))
    worn = draw(st.lists(st.booleans(), min_size=len(pulls), max_size=len(pulls)))
    worn = [True] * failures + worn[failures:]
    return pulls, worn


def censored(pulls, worn):
    return stats.CensoredData(
        uncensored=[p for p, w in zip(pulls, worn, strict=True) if w],
        right=[p for p, w in zip(pulls, worn, strict=True) if not w],
    )


def test_the_survival_curve_is_that_of_the_nist_handbook() -> None:
    curve = survival_curve(*NIST_KM)
    expected = [0.95, 0.90, 0.8471, 0.7941, 0.7374, 0.6704]
    assert [s.survival for s in curve.steps] == pytest.approx(expected, abs=6e-5)
    assert curve.survival_at(9) == 1
    assert curve.survival_at(10) == pytest.approx(0.95)
    assert (curve.molds, curve.worn_out, curve.longest_pulls) == (20, 6, 200)


@given(lives(failures=1))
def test_survival_stays_within_0_and_1_and_never_rises(molds) -> None:
    curve = survival_curve(*molds)
    shares = [1.0, *(s.survival for s in curve.steps)]
    assert shares == sorted(shares, reverse=True)
    for step in curve.steps:
        assert 0 <= step.low <= step.survival + 1e-12
        assert step.survival <= step.high + 1e-12 <= 1 + 1e-9


@pytest.mark.filterwarnings("ignore:The confidence interval is undefined")
@given(lives(failures=2))
@settings(max_examples=50)
def test_curve_and_interval_agree_with_the_reference_library(molds) -> None:
    curve = survival_curve(*molds)
    reference = stats.ecdf(censored(*molds)).sf
    bounds = reference.confidence_interval(0.95, method="log-log")
    for step in curve.steps:
        at = list(reference.quantiles).index(step.pulls)
        assert step.survival == pytest.approx(reference.probabilities[at], abs=1e-9)
        if step.survival > 0:
            assert step.low == pytest.approx(bounds.low.probabilities[at], abs=1e-9)
            assert step.high == pytest.approx(bounds.high.probabilities[at], abs=1e-9)


@given(lives(failures=1))
def test_with_no_mold_censored_the_curve_is_the_plain_share(molds) -> None:
    pulls, _ = molds
    curve = survival_curve(pulls, [True] * len(pulls))
    for n in (0, 50, 200):
        assert curve.survival_at(n) == pytest.approx(sum(p > n for p in pulls) / len(pulls))
    assert curve.expected_remaining(0) == pytest.approx(sum(pulls) / len(pulls))


def test_the_weibull_life_is_that_of_the_nist_handbook() -> None:
    life = fit_weibull(*NIST_WEIBULL)
    assert life.shape == pytest.approx(1.7208, abs=5e-5)
    assert life.scale == pytest.approx(606.53, abs=5e-3)


def test_standard_errors_are_those_of_the_curvature_of_the_likelihood() -> None:
    pulls, worn = (np.array(x) for x in NIST_WEIBULL)
    life = fit_weibull(*NIST_WEIBULL)

    def loss(shape, scale):
        z = (pulls / scale) ** shape
        density = np.log(shape / scale) + (shape - 1) * np.log(pulls / scale)
        return float(np.sum(z) - np.sum(density[worn]))

    a, b, da, db = life.shape, life.scale, 1e-4, 1e-2
    here = loss(a, b)
    aa = (loss(a + da, b) - 2 * here + loss(a - da, b)) / da**2
    bb = (loss(a, b + db) - 2 * here + loss(a, b - db)) / db**2
    ab = (loss(a + da, b + db) - loss(a + da, b - db) - loss(a - da, b + db)
          + loss(a - da, b - db)) / (4 * da * db)  # fmt: skip
    covariance = np.linalg.inv([[aa, ab], [ab, bb]])
    assert life.shape_error == pytest.approx(math.sqrt(covariance[0, 0]), rel=1e-3)
    assert life.scale_error == pytest.approx(math.sqrt(covariance[1, 1]), rel=1e-3)


@given(lives(least=4, failures=3))
@settings(max_examples=25)
def test_no_other_shape_and_scale_are_likelier_than_the_fit(molds) -> None:
    pulls, worn = molds
    if max(pulls) == min(p for p, w in zip(pulls, worn, strict=True) if w):
        with pytest.raises(ValueError, match="same pull"):
            fit_weibull(pulls, worn)
        return
    life = fit_weibull(pulls, worn)
    t, w = np.array(pulls, float), np.array(worn)

    def loss(shape, scale):
        log_t = np.log(t / scale)
        return np.sum(np.exp(shape * log_t)) - np.sum(
            (np.log(shape / scale) + (shape - 1) * log_t)[w]
        )

    here = loss(life.shape, life.scale)
    for a in (0.99, 1, 1.01):
        for b in (0.99, 1, 1.01):
            assert loss(life.shape * a, life.scale * b) >= here - 1e-9 * abs(here)


def test_the_fit_agrees_with_the_reference_library() -> None:
    shape, _, scale = stats.weibull_min.fit(censored(*NIST_WEIBULL), floc=0)
    life = fit_weibull(*NIST_WEIBULL)
    assert life.shape == pytest.approx(shape, rel=1e-3)
    assert life.scale == pytest.approx(scale, rel=1e-3)


@given(st.floats(1.02, 8), st.floats(0, 200))
def test_the_incomplete_gamma_function_agrees_with_the_reference_library(a, x) -> None:
    expected = special.gammaincc(a, x) * special.gamma(a) * math.exp(x)
    assert scaled_upper_gamma(a, x) == pytest.approx(expected, rel=1e-9)


@given(st.floats(0.5, 6), st.floats(20, 500), st.floats(0, 800))
@settings(max_examples=40)
def test_remaining_pulls_are_the_mean_of_what_is_to_come(shape, scale, survived) -> None:
    life = WeibullLife(shape, scale)
    start = (survived / scale) ** shape

    def still_there(n):
        return math.exp(start - ((survived + n) / scale) ** shape)

    reach = scale * (start + 40) ** (1 / shape) - survived
    cuts = [0, *(scale * (start + y) ** (1 / shape) - survived for y in (0.01, 0.3, 2, 8)), reach]
    area = sum(integrate.quad(still_there, a, b)[0] for a, b in pairwise(cuts))
    assert life.expected_remaining(survived) == pytest.approx(area, rel=1e-5, abs=1e-6)


def test_without_wear_a_mold_has_as_many_pulls_left_as_a_new_one() -> None:
    life = WeibullLife(1.0, 120)
    assert life.expected_remaining(0) == pytest.approx(120)
    assert life.expected_remaining(300) == pytest.approx(120)


@given(st.floats(0.5, 6), st.floats(20, 500), st.floats(0, 2), st.floats(0.01, 0.9))
def test_the_pull_to_retire_by_takes_just_the_risk_agreed(shape, scale, lifetimes, risk) -> None:
    survived = lifetimes * scale
    life = WeibullLife(shape, scale)
    end = life.pulls_until(risk, survived=survived)
    assert end >= survived
    start, stop = (survived / scale) ** shape, (end / scale) ** shape
    assert 1 - math.exp(start - stop) == pytest.approx(risk, rel=1e-6)


def test_enough_worn_out_molds_give_a_weibull_forecast() -> None:
    forecast = mold_forecast("Fern 3", 200, *NIST_WEIBULL)
    life = fit_weibull(*NIST_WEIBULL)
    assert forecast.method == "weibull"
    assert forecast.remaining_pulls == pytest.approx(life.expected_remaining(200))
    assert forecast.retire_at_pulls == math.floor(life.pulls_until(0.1, survived=200))
    assert forecast.sentence == "Fern 3 has about 407 pulls left; retire it by pull 273."


def test_a_few_worn_out_molds_give_what_the_log_shows_and_say_how_few() -> None:
    forecast = mold_forecast("Fern 3", 20, [40, 60, 80], [True, True, False])
    # Of three molds at 20 pulls: 20, 40 and at least 60 more; the mean is 40.
    assert forecast.method == "survival curve"
    assert forecast.remaining_pulls == pytest.approx(40)
    assert forecast.retire_at_pulls == 39
    assert forecast.sentence == (
        "Fern 3 has at least 40 pulls left, from only 2 worn out; retire it by pull 39."
    )


def test_what_the_log_cannot_tell_is_said_to_be_unknown() -> None:
    assert mold_forecast("Fern 3", 20, [], []).method == "unknown"
    assert mold_forecast("Fern 3", 20, [30, 40], [False, False]).remaining_pulls is None
    outlasted = mold_forecast("Fern 3", 90, [40, 60], [True, True])
    assert outlasted.sentence == "Fern 3 has outlasted every mold like it in the log."


def test_molds_that_all_wore_out_at_one_pull_need_no_curve() -> None:
    forecast = mold_forecast("Fern 3", 20, [50] * 6, [True] * 6)
    assert forecast.method == "survival curve"
    assert forecast.remaining_pulls == pytest.approx(30)


@given(lives(failures=1), st.integers(0, 450))
def test_a_forecast_never_retires_a_mold_in_its_past(molds, survived) -> None:
    forecast = mold_forecast("Fern 3", survived, *molds)
    if forecast.method != "unknown":
        assert forecast.remaining_pulls >= 0
        assert forecast.retire_at_pulls is None or forecast.retire_at_pulls >= survived


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: survival_curve([], []),
        lambda: survival_curve([10], [True, False]),
        lambda: survival_curve([0], [True]),
        lambda: survival_curve([math.nan], [True]),
        lambda: survival_curve([10], [True], confidence=95),
        lambda: fit_weibull([10, 20], [True, False]),
        lambda: fit_weibull([10, 10], [True, True]),
        lambda: WeibullLife(0, 10),
        lambda: mold_forecast("Fern 3", -1, [10], [True]),
        lambda: mold_forecast("Fern 3", 1, [10], [True], retire_risk=0),
    ],
)
def test_lives_that_cannot_be_are_refused_in_a_sentence(wrong) -> None:
    with pytest.raises(ValueError, match=r"\.$"):
        wrong()
