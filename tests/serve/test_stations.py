"""Station names."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorboard.serve.stations import (
    LONGEST_STATION_NAME,
    StationNameError,
    checked_station_name,
)


def test_a_name_is_kept_with_its_spaces_set_straight() -> None:
    assert checked_station_name("  Bench   1 ") == "Bench 1"
    assert checked_station_name("Große Säge ▶") == "Große Säge ▶"


@pytest.mark.parametrize(
    "text", ["", "   ", "x" * 41, "a\nb", "a\x1b[31m", "a\u202eb", "a\u2028b", "a\x00", "\ud800"]
)
def test_a_name_that_is_empty_long_or_not_shown_is_refused(text: str) -> None:
    with pytest.raises(StationNameError, match=r"\.$"):
        checked_station_name(text)


@given(st.text(max_size=60))
def test_whatever_is_accepted_is_short_shown_and_its_own_spelling(text: str) -> None:
    try:
        name = checked_station_name(text)
    except StationNameError:
        return
    assert 1 <= len(name) <= LONGEST_STATION_NAME
    assert checked_station_name(name) == name
    assert all(unicodedata.category(character)[0] != "C" for character in name)
