import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from floorboard.records.yields import (
    compare_yields,
    difference_bounds,
    first_pass_yield,
    poisson_yield,
    rolled_throughput_yield,
    rolled_yield_of_shares,
    wilson_bounds,
    yield_at_least,
    yield_at_most,
    yield_of,
)


@st.composite
def counts(draw):
    total = draw(st.integers(1, 500))
    return draw(st.integers(0, total)), total


def test_the_one_sided_bound_is_that_of_the_nist_handbook() -> None:
    # NIST/SEMATECH e-Handbook 7.2.4.1: p .13, n 200, z 1.645.
    low, _ = wilson_bounds(26, 200, 1.645)
    assert low == pytest.approx(0.09577, abs=5e-6)
    assert yield_at_least(26, 200) == pytest.approx(0.09577, abs=5e-5)


@given(counts(), st.sampled_from([0.8, 0.95, 0.99]))
def test_wilson_stays_within_0_and_1_and_holds_the_share(count, confidence) -> None:
    found = yield_of(*count, confidence=confidence)
    assert 0 <= found.low <= found.share <= found.high <= 1


@given(counts())
def test_wilson_agrees_with_the_reference_library(count) -> None:
    found = yield_of(*count)
    reference = stats.binomtest(*count).proportion_ci(0.95, method="wilson")
    assert found.low == pytest.approx(reference.low, abs=1e-9)
    assert found.high == pytest.approx(reference.high, abs=1e-9)


@given(counts())
def test_a_one_sided_bound_is_tighter_than_that_end_of_the_interval(count) -> None:
    found = yield_of(*count)
    assert found.low <= yield_at_least(*count) <= found.share
    assert found.share <= yield_at_most(*count) <= found.high


@given(counts())
def test_good_and_bad_are_mirror_images(count) -> None:
    good, total = count
    found, mirror = yield_of(good, total), yield_of(total - good, total)
    assert found.low == pytest.approx(1 - mirror.high)


def test_nothing_counted_gives_no_yield_rather_than_a_wrong_one() -> None:
    found = first_pass_yield(0, 0)
    assert (found.share, found.low, found.high) == (None, None, None)
    assert rolled_throughput_yield([found]).share is None
    assert rolled_throughput_yield([]).share is None


def test_rolled_yield_is_the_product_of_the_steps() -> None:
    # Constructed: .95 x .84 x .88.
    assert rolled_yield_of_shares([0.95, 0.84, 0.88]) == pytest.approx(0.70224)
    rolled = rolled_throughput_yield([yield_of(95, 100), yield_of(84, 100), yield_of(88, 100)])
    assert rolled.share == pytest.approx(0.70224)


def test_poisson_yield_from_defects_per_casting() -> None:
    # Harry (2004): dpu .10, .05, .008.
    assert poisson_yield([0.10, 0.05, 0.008]) == pytest.approx(0.853850, abs=5e-7)


@given(st.lists(counts(), min_size=1, max_size=6))
def test_a_rolled_interval_holds_the_share_and_stays_within_0_and_1(steps) -> None:
    rolled = rolled_throughput_yield([yield_of(*s) for s in steps])
    slack = 1e-12
    assert -slack <= rolled.low <= rolled.share + slack
    assert rolled.share <= rolled.high + slack <= 1 + 2 * slack


@given(counts())
def test_a_single_step_rolled_is_that_step(count) -> None:
    step = yield_of(*count)
    rolled = rolled_throughput_yield([step])
    assert rolled.low == pytest.approx(step.low)
    assert rolled.high == pytest.approx(step.high)


@pytest.mark.parametrize(
    ("a", "b", "low", "high"),
    [
        # Newcombe (1998), Table II, method 10 (from memory; the arithmetic is the method's).
        ((56, 70), (48, 80), 0.0524, 0.3339),
        ((9, 10), (3, 10), 0.1705, 0.8090),
        ((5, 56), (0, 29), -0.0381, 0.1926),
        ((10, 10), (0, 20), 0.6791, 1.0000),
    ],
)
def test_the_interval_of_a_difference_is_that_published(a, b, low, high) -> None:
    found = difference_bounds(*a, *b, 1.959964)
    assert found == (pytest.approx(low, abs=5e-5), pytest.approx(high, abs=5e-5))


def test_people_with_a_handful_of_castings_are_not_ranked() -> None:
    comparison = compare_yields({"Ana": (3, 4), "Bo": (90, 100)})
    assert comparison.clear == ()
    assert comparison.too_few == ("Ana",)
    assert comparison.sentence == "Ana is not compared: 4 castings, at least 20 needed."


def test_a_clear_difference_is_told_with_its_counts() -> None:
    comparison = compare_yields({"F1": (95, 100), "F2": (70, 100)})
    assert comparison.clear == (("F1", "F2"),)
    assert comparison.sentence == ("F2 (70 of 100, 70 %) yields less than F1 (95 of 100, 95 %).")


def test_a_difference_chance_can_make_is_not_called_one() -> None:
    comparison = compare_yields({"F1": (46, 50), "F2": (43, 50)})
    assert comparison.clear == ()
    assert "chance" in comparison.sentence


def test_many_groups_are_held_to_a_stricter_measure_than_two() -> None:
    two = {"F1": (95, 100), "F2": (84, 100)}
    assert compare_yields(two).clear == (("F1", "F2"),)
    many = two | {f"G{i}": (90, 100) for i in range(12)}
    assert ("F1", "F2") not in compare_yields(many).clear


def test_no_groups_have_nothing_to_compare() -> None:
    assert compare_yields({}).sentence == "There is nothing to compare yet."


@given(st.dictionaries(st.sampled_from("ABCDE"), counts(), max_size=5))
def test_nobody_is_both_better_and_worse_than_the_same_other(groups) -> None:
    clear = compare_yields(groups).clear
    assert not {(b, a) for a, b in clear} & set(clear)
    assert all(groups[a][0] / groups[a][1] > groups[b][0] / groups[b][1] for a, b in clear)
    assert all(groups[name][1] >= 20 for pair in clear for name in pair)


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: yield_of(5, 4),
        lambda: yield_of(-1, 4),
        lambda: yield_of(1, -4),
        lambda: yield_of(1, 4, confidence=1.0),
        lambda: yield_of(1.0, 4),
        lambda: wilson_bounds(0, 0, 1.96),
        lambda: rolled_yield_of_shares([1.2]),
        lambda: rolled_yield_of_shares([math.nan]),
        lambda: poisson_yield([-0.1]),
        lambda: compare_yields({"A": (5, 4)}),
    ],
)
def test_impossible_counts_are_refused_in_a_sentence(wrong) -> None:
    with pytest.raises(ValueError, match=r"\.$"):
        wrong()
