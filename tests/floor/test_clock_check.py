"""The machine's clock is believed only while it runs at the pace of real time."""

from __future__ import annotations

import datetime as dt

import pytest

from floorboard.floor.clock import steady_seconds
from floorboard.floor.clock_check import ClockCheck, ClockReading, ahead_of_clock, jump_between

START = dt.datetime(2026, 3, 29, 0, 59, 58, tzinfo=dt.UTC)


def reading(wall_seconds: float, steady: float) -> ClockReading:
    return ClockReading(START + dt.timedelta(seconds=wall_seconds), 1000.0 + steady)


def test_a_clock_that_keeps_pace_has_not_jumped() -> None:
    assert jump_between(reading(0, 0), reading(3600, 3600)) is None


def test_a_change_to_summer_time_is_no_jump() -> None:
    # Lisbon's clocks go forward at 01:00 UTC on 29 March 2026 (EU Directive 2000/84/EC).
    check = ClockCheck(reading(0, 0))
    for second in range(1, 6):
        check = check.after(reading(second, second))
    assert check.jumped is None


@pytest.mark.parametrize("seconds", [3.0, -3.0, 7200.0, -86400.0])
def test_a_clock_that_is_set_has_jumped_by_as_much(seconds: float) -> None:
    jump = jump_between(reading(0, 0), reading(1 + seconds, 1))
    assert jump is not None
    assert jump.seconds == pytest.approx(seconds)


def test_a_clock_drawn_right_slowly_has_not_jumped() -> None:
    # 500 parts in a million for a day: RFC 5905's greatest slew.
    check = ClockCheck(reading(0, 0))
    for second in range(0, 86400, 60):
        check = check.after(reading(second * 1.0005, second))
    assert check.jumped is None


def test_jumps_add_up_and_one_undone_is_none() -> None:
    check = ClockCheck(reading(0, 0)).after(reading(61, 1)).after(reading(122, 2))
    assert check.jumped is not None
    assert check.jumped.seconds == pytest.approx(120)
    assert check.after(reading(3, 3)).jumped is None


def test_an_acknowledged_jump_is_forgotten_but_not_the_pace() -> None:
    check = ClockCheck(reading(0, 0)).after(reading(61, 1)).forgiven()
    assert check.jumped is None
    assert check.after(reading(62, 2)).jumped is None


def test_an_entry_from_the_future_is_told() -> None:
    assert ahead_of_clock(None, START) == 0
    assert ahead_of_clock(START + dt.timedelta(seconds=2), START) == 0
    assert ahead_of_clock(START + dt.timedelta(minutes=20), START) == 1200


def test_steady_seconds_never_run_back() -> None:
    first = steady_seconds()
    assert steady_seconds() >= first
