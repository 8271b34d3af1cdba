"""A scanned label chooses what it names, and garbage chooses nothing."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorboard.floor import events as e
from floorboard.screens.scans import read_scan
from tests.log_of import batch, floor_of, to_demold, to_first_layer
from tests.tiny_shop import tiny_shop

SHOP = tiny_shop()


def test_a_castings_serial_chooses_its_mold() -> None:
    scanned = read_scan(SHOP, floor_of(*to_first_layer()), "c1")
    assert (scanned.mold, scanned.casting) == ("m1", "c1")


def test_a_casting_out_of_its_mold_is_told_but_chooses_no_mold() -> None:
    scanned = read_scan(SHOP, floor_of(*to_demold()), "c1")
    assert (scanned.mold, scanned.casting) == (None, "c1")
    assert "after the mold" in scanned.message


def test_a_scrapped_casting_is_told_so() -> None:
    floor = floor_of(*to_first_layer(), (14, e.CastingRejected(casting="c1", reason="void")))
    scanned = read_scan(SHOP, floor, "c1")
    assert scanned.mold is None
    assert "scrapped" in scanned.message


def test_a_batch_chooses_the_mold_it_serves_next() -> None:
    lines = [*to_first_layer(), (20, batch("B2", ("c1", 1)))]
    assert read_scan(SHOP, floor_of(*lines), "b2").mold == "m1"


@pytest.mark.parametrize("label", ["2", "02", " 2 "])
def test_a_molds_number_chooses_it(label: str) -> None:
    assert read_scan(SHOP, floor_of(), label).mold == "m2"


@pytest.mark.parametrize(
    "label", ["", "99", "0", "-", "260312-04", "٢", "m1", "x" * 300, "\x1b[2J"]
)
def test_what_names_nothing_here_chooses_nothing(label: str) -> None:
    scanned = read_scan(SHOP, floor_of(*to_first_layer()), label)
    assert (scanned.mold, scanned.casting) == (None, None)
    assert scanned.message.endswith("Nothing was logged.")
    assert len(scanned.message) < 120


@given(st.text(max_size=100))
def test_garbage_never_puts_control_characters_on_the_screen(label: str) -> None:
    message = read_scan(SHOP, floor_of(), label).message
    assert message.isprintable()
