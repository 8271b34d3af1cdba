"""How molds stand at a moment: states, countdowns, urgency."""

from __future__ import annotations

import pytest

from floorboard.floor import events as e
from floorboard.floor.standing import pulls_of, standings
from tests.log_of import floor_of, to_demold, to_first_layer
from tests.tiny_shop import after, tiny_shop

SHOP = tiny_shop()


def state_at(floor, minute, mold="m1"):
    return next(row for row in standings(SHOP, floor, after(minute)) if row.mold == mold)


@pytest.mark.parametrize(
    ("minute", "state"),
    [(14, "curing"), (24, "soon"), (28, "due"), (42, "due"), (44, "closing"), (54, "window lost")],
)
def test_a_cure_goes_from_curing_to_window_lost(minute, state):
    assert state_at(floor_of(*to_first_layer()), minute).state == state


def test_the_countdown_is_to_opening_then_to_closing():
    row = state_at(floor_of(*to_first_layer()), 20)
    assert (row.seconds_to_open, row.seconds_to_close) == (8 * 60, 33 * 60)


def test_the_most_urgent_mold_comes_first():
    lines = [*to_first_layer("c1", "m1"), *[(m + 12, x) for m, x in to_first_layer("c2", "m2")]]
    rows = standings(SHOP, floor_of(*lines[:6], *_renamed(lines[6:])), after(46))
    assert [row.mold for row in rows] == ["m1", "m2", "m3"]
    assert [row.state for row in rows] == ["closing", "due", "empty"]


def _renamed(lines):
    return [
        (m, x.model_copy(update={"batch": "b9"}) if getattr(x, "batch", None) else x)
        for m, x in lines
    ]


def test_a_mold_out_of_service_says_so_and_comes_last():
    floor = floor_of((0, e.MoldTakenOut(mold="m1")))
    assert state_at(floor, 1).state == "out"
    assert standings(SHOP, floor, after(1))[-1].mold == "m1"


def test_a_skipped_mold_rests_until_its_time():
    floor = floor_of((0, e.MoldRested(mold="m1", until=after(30))))
    assert state_at(floor, 10).state == "resting"
    assert state_at(floor, 31).state == "empty"


def test_a_casting_set_aside_still_shows_a_lost_window():
    lines = [*to_first_layer(), (14, e.CastingSetAside(casting="c1"))]
    floor = floor_of(*lines)
    assert state_at(floor, 30).state == "set aside"
    assert state_at(floor, 60).state == "window lost"


def test_a_demolded_casting_leaves_its_mold_empty():
    assert state_at(floor_of(*to_demold()), 81).state == "empty"


def test_pulls_are_those_before_the_log_and_those_in_it():
    floor = floor_of(*to_first_layer("c1", "m2"))
    assert pulls_of(SHOP, floor, "m2") == 8
