import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorboard.records.learned_times import learned_time, plausible_samples
from floorboard.records.quantiles import quantile

TWELVE = [18.0, 20, 22, 19, 21, 20, 23, 18, 20, 21, 19, 22]
durations = st.lists(st.floats(0.1, 500), max_size=40)


def test_a_forgotten_key_press_does_not_move_the_planned_time() -> None:
    clean = learned_time(TWELVE, 25)
    spoiled = learned_time([*TWELVE, 480.0, 0.2], 25)
    assert spoiled.minutes == clean.minutes
    assert spoiled.set_aside == (480.0, 0.2)
    assert "2 set aside" in spoiled.reason


def test_the_planned_time_is_the_chosen_quantile_of_the_samples() -> None:
    learned = learned_time(TWELVE, 25, planned_quantile=0.8, kind=7)
    assert learned.source == "learned"
    assert learned.minutes == quantile(TWELVE, 0.8, kind=7)
    assert learned.reason == (
        "21.8 min covers 80 % of 12 logged times (the shop's own figure is 25)."
    )


def test_too_few_samples_leave_the_shops_own_figure_and_say_why() -> None:
    learned = learned_time([18.0, 20, 0.0], 25)
    assert (learned.minutes, learned.source, learned.used) == (25, "stated", 2)
    assert learned.median_minutes == 19
    assert learned.reason.startswith("The shop's own 25 min: 2 logged times, 8 needed.")


def test_no_samples_at_all_are_no_trouble() -> None:
    learned = learned_time([], 25)
    assert (learned.minutes, learned.median_minutes) == (25, None)


def test_samples_all_alike_keep_their_near_neighbours() -> None:
    used, set_aside = plausible_samples([10.0] * 9 + [11.0, 60.0])
    assert set_aside == (60.0,)
    assert len(used) == 10


@given(durations)
def test_every_sample_is_either_used_or_set_aside(samples) -> None:
    used, set_aside = plausible_samples(samples)
    assert sorted([*used, *set_aside]) == sorted(samples)
    assert 2 * len(used) >= len(samples)


@given(durations, st.floats(0.1, 10))
def test_the_rule_does_not_depend_on_the_unit_of_time(samples, factor) -> None:
    _, here = plausible_samples(samples)
    _, there = plausible_samples([s * factor for s in samples])
    # A sample exactly on the cut may fall to either side of it by rounding.
    assert abs(len(here) - len(there)) <= 1


@given(st.lists(st.floats(1, 500), min_size=1, max_size=40), st.floats(0.1, 0.45))
def test_planning_for_more_days_never_plans_less_time(samples, step) -> None:
    low = learned_time(samples, 20, planned_quantile=0.5)
    high = learned_time(samples, 20, planned_quantile=0.5 + step)
    assert low.minutes <= high.minutes + 1e-9


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: learned_time([math.nan], 25),
        lambda: learned_time([math.inf], 25),
        lambda: learned_time([10.0], 0),
        lambda: learned_time([10.0], 25, planned_quantile=1),
        lambda: learned_time([10.0], 25, least_samples=0),
    ],
)
def test_times_that_cannot_be_are_refused_in_a_sentence(wrong) -> None:
    with pytest.raises(ValueError, match=r"\.$"):
        wrong()
