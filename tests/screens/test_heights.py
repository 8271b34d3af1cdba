"""Every mold has its line before anything else has more lines than it needs."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorboard.screens.floor_screen.floor_layout import WANTED as SHARES
from floorboard.screens.floor_screen.heights import HEADER, LEAST_PANELS, Heights, heights

# What is left of 60x20, 80x24, 120x40 for panels, molds and log.
SMALL, MEDIUM, LARGE = 17, 21, 37
WANTED = dict(zip((LARGE, MEDIUM, SMALL), (shared for _, shared in SHARES), strict=True))


def molds_shown(room: int, molds: int, panel_lines: int = 9) -> int:
    shared = heights(room, molds, WANTED[room], panel_lines)
    return room - shared.panels - shared.log - HEADER


@pytest.mark.parametrize(("room", "molds"), [(SMALL, 8), (MEDIUM, 9), (MEDIUM, 11), (LARGE, 24)])
def test_no_mold_is_hidden_by_the_log_or_by_blank_lines_of_a_panel(room, molds) -> None:
    assert molds_shown(room, molds, panel_lines=5) >= molds


@pytest.mark.parametrize("molds", [8, 9, 11])
def test_each_mold_keeps_its_second_line_as_long_as_all_have_one(molds) -> None:
    assert molds_shown(LARGE, molds) >= 2 * molds


def test_a_ticket_keeps_its_lines_where_only_the_log_has_to_give() -> None:
    assert heights(MEDIUM, 8, WANTED[MEDIUM], panel_lines=9) == Heights(9, 3)


@given(st.sampled_from([SMALL, MEDIUM, LARGE, 9]), st.integers(0, 60), st.integers(0, 14))
def test_lines_are_never_given_twice_and_the_panels_keep_their_digits(room, molds, lines) -> None:
    wanted = WANTED.get(room, WANTED[SMALL])
    shared = heights(room, molds, wanted, lines)
    assert shared.panels >= LEAST_PANELS
    assert shared.log >= 0
    assert shared.panels + shared.log <= max(room, wanted.panels)
    assert shared.log == 0 or shared.log >= wanted.least_log
