import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorboard.records.control_charts import limits_around
from floorboard.records.run_rules import NELSON, WESTERN_ELECTRIC, chart_signals, rule_signals


def fired(scores, rules):
    return {(s.rule, s.index) for s in rule_signals(scores, rules)}


# Each pattern at its least, and the same one point short of it.
# Sources: Western Electric handbook (1956), Nelson (1984); see the module.
PATTERNS = [
    ("western-electric-1", [0, 3.1], [0, 3.0]),
    ("western-electric-2", [2.1, 0, 2.1], [2.1, 0, 0, 2.1]),
    ("western-electric-3", [1.1, 1.1, 0, 1.1, 1.1], [1.1, 1.1, 0, 0, 1.1, 1.1]),
    ("western-electric-4", [0.5] * 8, [0.5] * 7 + [-0.5]),
    ("nelson-1", [-3.1], [-3.0]),
    ("nelson-2", [-0.5] * 9, [-0.5] * 8),
    ("nelson-3", [0, 0.1, 0.2, 0.3, 0.4, 0.5], [0, 0.1, 0.2, 0.3, 0.4]),
    ("nelson-3", [0.5, 0.4, 0.3, 0.2, 0.1, 0], [0.5, 0.4, 0.4, 0.3, 0.2, 0.1]),
    ("nelson-4", [0.1, -0.1] * 7, [0.1, -0.1] * 6 + [0.1]),
    ("nelson-5", [-2.1, -2.1], [-2.1, 2.1]),
    ("nelson-6", [-1.1] * 4, [-1.1, -1.1, -1.1, 1.1]),
    ("nelson-7", [0.5, -0.5, 0.2] * 5, [0.5, -0.5, 0.2] * 4 + [0.5, -0.5]),
    ("nelson-8", [1.5, -1.5] * 4, [1.5] * 8),
]


@pytest.mark.parametrize(("rule", "pattern", "short_of_it"), PATTERNS)
def test_each_rule_fires_on_its_pattern_and_not_one_point_short(rule, pattern, short_of_it) -> None:
    rules = [r for r in (*WESTERN_ELECTRIC, *NELSON) if r.name == rule]
    assert (rule, len(pattern) - 1) in fired(pattern, rules)
    assert fired(short_of_it, rules) == set()


def test_every_rule_has_a_pattern_in_this_file() -> None:
    assert {p[0] for p in PATTERNS} == {r.name for r in (*WESTERN_ELECTRIC, *NELSON)}


def test_eight_on_one_side_is_a_western_electric_run_but_not_yet_nelsons() -> None:
    eight = [0.3, 0.4, 0.2, 0.5, 0.3, 0.4, 0.2, 0.5]
    assert fired(eight, WESTERN_ELECTRIC) == {("western-electric-4", 7)}
    assert fired(eight, NELSON) == set()
    assert fired([*eight, 0.3], NELSON) == {("nelson-2", 8)}


def test_a_signal_names_the_points_that_make_its_pattern() -> None:
    scores = [0.0, 2.5, 0.0, 2.5]
    (signal,) = rule_signals(scores, WESTERN_ELECTRIC[1:2])
    assert signal.index == 3
    assert signal.points == (1, 3)


def test_a_point_on_the_centre_line_breaks_a_run() -> None:
    assert fired([0.5] * 5 + [0.0] + [0.5] * 5, WESTERN_ELECTRIC) == set()


@given(st.lists(st.floats(-4, 4), max_size=40))
def test_rules_read_the_chart_upside_down_the_same_way(scores) -> None:
    for rules in (WESTERN_ELECTRIC, NELSON):
        assert fired(scores, rules) == fired([-z for z in scores], rules)


@given(st.lists(st.floats(-4, 4), max_size=25), st.lists(st.floats(-4, 4), max_size=25))
def test_what_comes_later_never_changes_an_earlier_signal(before, after) -> None:
    early = {s for s in rule_signals([*before, *after], NELSON) if s.index < len(before)}
    assert early == set(rule_signals(before, NELSON))


@given(st.lists(st.sampled_from([-2.5, -1.5, -0.5, 0.5, 1.5, 2.5]), max_size=30))
def test_eight_in_a_row_agrees_with_counting_a_run(scores) -> None:
    run, expected = 0, set()
    for i, z in enumerate(scores):
        run = run + 1 if i and (z > 0) == (scores[i - 1] > 0) else 1
        if run >= 8:
            expected.add(("western-electric-4", i))
    assert fired(scores, WESTERN_ELECTRIC[3:]) == expected


def test_values_in_their_own_unit_are_judged_against_the_limits() -> None:
    signals = chart_signals([500.0, 540.0], limits_around(500, 10))
    assert [(s.rule, s.index) for s in signals] == [("western-electric-1", 1)]
