"""The files in which the views of tabs are kept."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from floorboard.screens.place import remember_view
from floorboard.serve.places import MOST_PLACES, Places, is_place_token

PLACE = "0123456789abcdef0123456789abcdef"


def test_the_view_a_board_wrote_is_found_again(tmp_path: Path) -> None:
    places = Places(tmp_path)
    assert places.view_of(PLACE) is None
    remember_view("tally", {"FLOORBOARD_RESUME": str(places.file_of(PLACE))})
    assert places.view_of(PLACE) == "tally"
    assert places.view_of(PLACE[::-1]) is None


@pytest.mark.parametrize("content", [b"", b"Tally", b"\xff\xfe", b"a" * 500, b"tally\n", b"../x"])
def test_a_file_that_holds_no_view_counts_as_none(content: bytes, tmp_path: Path) -> None:
    places = Places(tmp_path)
    places.file_of(PLACE).write_bytes(content)
    assert places.view_of(PLACE) is None


def test_a_token_never_makes_a_path_of_its_own(tmp_path: Path) -> None:
    assert Places(tmp_path).file_of("../../outside").parent == tmp_path
    assert not is_place_token("../../outside")
    assert not is_place_token(PLACE.upper())
    assert is_place_token(PLACE)


def test_only_the_places_used_last_are_kept(tmp_path: Path) -> None:
    places = Places(tmp_path)
    for number in range(MOST_PLACES + 5):
        file = places.file_of(str(number))
        file.write_text("tally")
        os.utime(file, (number, number))
    (tmp_path / "passes.json").write_text("{}")
    places.forget_oldest()
    assert places.view_of("4") is None
    assert places.view_of("5") == "tally"
    assert (tmp_path / "passes.json").exists()
