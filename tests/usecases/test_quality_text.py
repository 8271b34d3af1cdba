"""Quality in lines of text."""

from __future__ import annotations

from floorboard.records.quality import Made, quality_of
from floorboard.usecases.quality_text import quality_lines
from tests.tiny_shop import START, after, tiny_shop


def test_where_nothing_came_to_a_verdict_no_interval_is_printed():
    past = Made(shop=tiny_shop(), builds={}, made=[])
    lines = list(quality_lines(quality_of(past, START, after(10_000), START.date(), START.date())))
    assert [line.split() for line in lines if "rolled" in line] == [["all,", "rolled", "-"]]
