"""What a page may say, and what is passed over."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorboard.serve.page_messages import (
    Focus,
    Keys,
    PageMessage,
    Ping,
    Size,
    read_message,
    size_within_limits,
)


@pytest.mark.parametrize(
    ("sent", "read"),
    [
        (["stdin", "é\x1b[A"], Keys("é\x1b[A".encode())),
        (["stdin", "\ud800"], Keys(b"?")),
        (["resize", {"width": 100, "height": 40}], Size(100, 40)),
        (["resize", {"width": 10**9, "height": -1}], Size(500, 5)),
        (["ping", "x" * 100], Ping("x" * 40)),
        (["focus"], Focus(gained=True)),
        (["blur"], Focus(gained=False)),
    ],
)
def test_messages_are_read(sent: list[object], read: PageMessage) -> None:
    assert read_message(json.dumps(sent)) == read


@pytest.mark.parametrize(
    "text",
    [
        "",
        "null",
        "[]",
        "{}",
        '["stdin"]',
        '["stdin", 1]',
        '["resize", {"width": "a", "height": 1}]',
        '["resize", [1, 2]]',
        '["quit"]',
        '[["stdin"], ""]',
        "[" * 50000,
        "9" * 6000,
    ],
)
def test_anything_else_is_passed_over(text: str) -> None:
    assert read_message(text) is None


@given(st.one_of(st.none(), st.integers(), st.text(), st.floats()))
def test_a_size_is_always_within_limits(value: object) -> None:
    size = size_within_limits(value, value)
    assert 20 <= size.columns <= 500
    assert 5 <= size.rows <= 200
