"""Clocks that jump, sleep, change with the season or are wrong: countdowns hold or say they do not."""

from __future__ import annotations

import datetime as dt
import os
import time
from collections.abc import Iterator
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floorboard.floor import events as e
from floorboard.floor.clock import FixedClock
from floorboard.planning.plan import empty_plan
from floorboard.screens.floor_screen.floor_view import mold_rows
from floorboard.screens.floor_screen.log_pane import log_line
from floorboard.screens.machine_watch import MachineWatch
from tests.board_run import board, press, session_on, settled
from tests.log_of import floor_of, to_first_layer
from tests.tiny_shop import START, after, tiny_shop

LISBON = ZoneInfo("Europe/Lisbon")
# Clocks in the EU change at 01:00 UTC on the last Sundays of March and October (2000/84/EC).
SPRING = dt.datetime(2026, 3, 29, 1, 0, tzinfo=dt.UTC)
AUTUMN = dt.datetime(2026, 10, 25, 1, 0, tzinfo=dt.UTC)


def row_at(floor, now, shop=None):
    rows = mold_rows(shop or tiny_shop(), floor, empty_plan(now, now, 0), now)
    return next(row for row in rows if row.mold == "m1")


def moved_to(moment: dt.datetime):
    """Return a first layer applied 13 minutes after a moment: it cures for 15 minutes more."""
    shift = (moment - START).total_seconds() / 60
    return floor_of(*((shift + minutes, event) for minutes, event in to_first_layer()))


@pytest.mark.parametrize("change", [SPRING, AUTUMN], ids=["forward", "back"])
def test_a_cure_takes_as_long_over_a_change_of_the_clocks(change: dt.datetime) -> None:
    floor = moved_to(change - dt.timedelta(minutes=20))
    shop = tiny_shop(shop={"name": "Tiny", "zone": "Europe/Lisbon"})
    shown = [
        row_at(floor, change + dt.timedelta(seconds=second), shop).countdown
        for second in (-1, 0, 1, 60)
    ]
    assert shown == ["8:01", "8:00", "7:59", "7:00"]


def test_the_repeated_hour_is_shown_as_the_clocks_showed_it() -> None:
    shop = tiny_shop(shop={"name": "Tiny", "zone": "Europe/Lisbon"})
    first, second = AUTUMN - dt.timedelta(minutes=10), AUTUMN + dt.timedelta(minutes=10)
    entries = [
        e.Entry(seq=seq, id=str(seq), at=at, logged_at=at, event=e.Noted(note=f"note {seq}"))
        for seq, at in ((1, first), (2, second))
    ]
    # Summer time's 01:50 is followed by winter time's 01:10.
    lines = [log_line(entry, shop, {}, LISBON) for entry in entries]
    assert [line.split()[0] for line in lines] == ["01:50", "01:10"]


@settings(max_examples=40, deadline=None)
@given(
    st.integers(0, 2 * 365 * 24 * 60).map(after),
    st.integers(0, 14 * 60),
    st.sampled_from(["Europe/Lisbon", "America/Chicago", "Australia/Lord_Howe", "Asia/Kolkata"]),
)
def test_a_countdown_runs_with_real_time_whatever_the_shops_clocks_do(begin, seconds, zone) -> None:
    floor = moved_to(begin - dt.timedelta(minutes=13))
    shop = tiny_shop(shop={"name": "Tiny", "zone": zone})
    row = row_at(floor, begin + dt.timedelta(seconds=seconds), shop)
    left = 15 * 60 - seconds
    assert row.countdown == f"{left // 60}:{left % 60:02d}"


@pytest.fixture
def machine_zone() -> Iterator[None]:
    before = os.environ.get("TZ")
    yield
    os.environ.pop("TZ", None) if before is None else os.environ.update(TZ=before)
    time.tzset()


def test_a_machine_in_the_wrong_zone_shows_the_shops_time(machine_zone: None) -> None:
    floor, shop = floor_of(*to_first_layer()), tiny_shop()
    entry = e.Entry(seq=1, id="1", at=START, logged_at=START, event=e.Noted(note="x"))
    shown = []
    for zone in ("UTC", "Pacific/Auckland", "America/Chicago"):
        os.environ["TZ"] = zone
        time.tzset()
        shown.append((row_at(floor, after(20)), log_line(entry, shop, {}, ZoneInfo("UTC"))))
    assert shown[0] == shown[1] == shown[2]


def test_entries_logged_after_the_clock_was_set_back_stand_after_those_before(tmp_path) -> None:
    with session_on(tmp_path / "f.db") as (session, clock):
        session.confirm(session.press_for_mold("m1", "ana"))
        clock.forward(5 * 60)
        session.confirm(session.press_for_mold("m1", "ana"))
        clock.forward(-2 * 3600)
        session.confirm(session.press_for_mold("m2", "ben"))
        latest = session.store.latest(3)
        assert [entry.event.kind for entry in latest] == [
            "casting begun",
            "mold readied",
            "casting begun",
        ]
        assert latest[0].at < latest[2].at
        # What was logged before is still so, and the next press of each goes on from it.
        assert session.press_for_mold("m1", "ana").kind == "begin batch"
        assert session.plan_is_stale()
        assert session.replan().made_at == clock.now()


async def test_an_entry_made_while_the_clock_was_wrong_is_told_of_once_it_is_right(
    tmp_path,
) -> None:
    with session_on(tmp_path / "f.db") as (session, clock):
        steady = [0.0]
        app = board(session)
        async with app.run_test(size=(150, 24)) as pilot:
            await settled(pilot)
            app.machine = MachineWatch(clock, lambda: steady[0])
            await press(pilot, "1", "enter")
            clock.forward(3 * 3600 + 1)
            steady[0] += 1
            app.look_round()
            assert "clock was set forward by 3 h" in app.warning_text
            # Set right again, it has not jumped at all; but an entry made meanwhile stays ahead.
            await press(pilot, "2", "enter")
            clock.forward(-3 * 3600 + 60)
            steady[0] += 60
            app.look_round()
            assert "ahead of this machine's clock" in app.warning_text


async def test_a_machine_that_slept_shows_what_was_lost_and_blames_no_clock(tmp_path) -> None:
    with session_on(tmp_path / "f.db") as (session, clock):
        steady = [0.0]
        app = board(session)
        async with app.run_test(size=(150, 24)) as pilot:
            await settled(pilot)
            app.machine = MachineWatch(clock, lambda: steady[0])
            for minutes in (0, 5, 0, 2, 1, 5):
                clock.forward(minutes * 60)
                steady[0] += minutes * 60
                await press(pilot, "1", "enter")
            assert pilot.app.screen.query_one("#board").rows[0].countdown == "15:00"
            # The lid is closed over lunch; seconds that count sleep go on.
            clock.forward(41 * 60)
            steady[0] += 41 * 60
            app.look_round()
            row = pilot.app.screen.query_one("#board").rows[0]
            assert (row.state, row.countdown) == ("window lost", "+1:00")
            assert "clock" not in app.warning_text


def test_two_stations_whose_clocks_differ_keep_one_order_and_the_later_is_told_of(tmp_path) -> None:
    with (
        session_on(tmp_path / "f.db") as (bench, slow),
        session_on(tmp_path / "f.db") as (tablet, fast),
    ):
        assert isinstance(fast, FixedClock)
        fast.forward(10 * 60)
        tablet.confirm(tablet.press_for_mold("m1", "ben"))
        slow.forward(60)
        bench.refresh()
        bench.confirm(bench.press_for_mold("m1", "ben"))
        kinds = [entry.event.kind for entry in bench.store.latest(2)]
        assert kinds == ["mold readied", "casting begun"]
        assert bench.floor.castings == tablet.store.floor().castings
        assert bench.floor.last_at == START + dt.timedelta(minutes=10)
