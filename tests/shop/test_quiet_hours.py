"""Quiet hours: a weekly pattern in local time, asked of one moment."""

from __future__ import annotations

import datetime as dt

from floorboard.shop.calendar import in_stretches
from floorboard.shop.file import read_shop
from floorboard.shop.file_writing import write_shop
from tests.tiny_shop import tiny_shop

UTC = dt.UTC
ZONE = "Europe/Lisbon"
SETTINGS = {"name": "Tiny", "zone": ZONE}
SHOP = tiny_shop(
    shop=SETTINGS
    | {
        "quiet": [
            {"days": "mon-fri", "start": "12:30", "end": "13:00"},
            {"days": "fri", "start": "22:00", "end": "06:00"},
        ],
        "far_view_after": "2 min",
    }
)
QUIET = SHOP.shop.quiet


def test_quiet_hours_begin_on_their_minute_and_end_before_it() -> None:
    monday = dt.datetime(2026, 3, 2, 12, 30, tzinfo=UTC)
    assert not in_stretches(QUIET, ZONE, monday - dt.timedelta(seconds=1))
    assert in_stretches(QUIET, ZONE, monday)
    assert not in_stretches(QUIET, ZONE, monday + dt.timedelta(minutes=30))


def test_quiet_hours_past_midnight_reach_into_the_day_after() -> None:
    saturday = dt.datetime(2026, 3, 7, 5, 59, tzinfo=UTC)
    assert in_stretches(QUIET, ZONE, saturday)
    assert not in_stretches(QUIET, ZONE, saturday + dt.timedelta(minutes=1))


def test_quiet_hours_are_local_after_the_clocks_go_forward() -> None:
    # Lisbon is on UTC until 29 March 2026, then an hour ahead (EU Directive 2000/84/EC).
    tuesday = dt.datetime(2026, 3, 31, 11, 45, tzinfo=UTC)
    assert in_stretches(QUIET, ZONE, tuesday)
    assert not in_stretches(QUIET, ZONE, tuesday + dt.timedelta(hours=1))


def test_a_shop_without_quiet_hours_is_never_quiet() -> None:
    plain = tiny_shop().shop
    assert plain.far_view_after is None
    assert not in_stretches(plain.quiet, plain.zone, dt.datetime(2026, 3, 2, 3, tzinfo=UTC))


def test_quiet_hours_and_the_far_view_come_back_from_the_shop_file() -> None:
    assert read_shop(write_shop(SHOP), "tiny.toml") == SHOP
