"""Station and view handed from the browser server to the board."""

from __future__ import annotations

from pathlib import Path

import pytest

from floorboard.screens.place import opening_view, remember_view, station_name


def test_a_terminal_has_no_station_and_opens_on_the_first_view() -> None:
    assert station_name({}) is None
    assert opening_view({"tally"}, {}) is None
    remember_view("tally", {})


def test_the_station_is_named_by_the_server() -> None:
    assert station_name({"FLOORBOARD_STATION": "Bench 2"}) == "Bench 2"


def test_a_remembered_view_is_written_whole(tmp_path: Path) -> None:
    kept = tmp_path / "place"
    remember_view("tally", {"FLOORBOARD_RESUME": str(kept)})
    remember_view("stock", {"FLOORBOARD_RESUME": str(kept)})
    assert kept.read_text() == "stock"
    assert list(tmp_path.iterdir()) == [kept]


def test_only_a_view_that_exists_is_opened_again() -> None:
    assert opening_view({"tally"}, {"FLOORBOARD_VIEW": "tally"}) == "tally"
    assert opening_view({"tally"}, {"FLOORBOARD_VIEW": "gone"}) is None


def test_a_folder_that_cannot_be_written_does_not_disturb_the_board(tmp_path: Path) -> None:
    remember_view("tally", {"FLOORBOARD_RESUME": str(tmp_path / "missing" / "place")})
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", ["", "Tally", "../tally", "a" * 41, "tally\n"])
def test_a_view_name_that_is_not_plain_is_refused(name: str) -> None:
    with pytest.raises(ValueError, match="lower-case"):
        remember_view(name, {})
