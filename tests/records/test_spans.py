"""Stretches of time: merged, cut and measured like sets of minutes."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from floorboard.records.spans import Measure, less, merged, total_seconds

SPANS = st.lists(st.tuples(st.integers(0, 40), st.integers(0, 40)), max_size=8)


def minutes_in(spans):
    return {minute for start, end in spans for minute in range(int(start), int(end))}


@given(spans=SPANS, taken=SPANS)
def test_what_is_left_is_the_difference_of_the_sets(spans, taken):
    left = less(merged(spans), merged(taken))
    assert minutes_in(left) == minutes_in(spans) - minutes_in(taken)
    assert left == merged(left)


@given(spans=SPANS, start=st.integers(-5, 45), length=st.integers(0, 50))
def test_a_measure_counts_what_lies_between_two_moments(spans, start, length):
    inside = minutes_in(spans) & set(range(start, start + length))
    measure = Measure(merged(spans))
    assert measure.between(start, start + length) == len(inside)
    assert measure.total == total_seconds(merged(spans))
