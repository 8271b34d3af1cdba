"""Which days a tally is of."""

from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorboard.screens.tally_screen.which_days import WhichDays, days_of, read_date, today
from tests.tiny_shop import START, tiny_shop

dates = st.dates(dt.date(2001, 1, 1), dt.date(2900, 12, 31))
kinds = st.sampled_from(["day", "week", "month", "year"])


@given(kinds, dates)
def test_the_days_before_end_the_day_before_and_lead_back(kind, date):
    which = days_of(kind, date)
    before = which.stepped(-1)
    assert which.first <= date <= which.last
    assert before.last + dt.timedelta(days=1) == which.first
    assert before.stepped(1) == which


@given(dates, st.integers(min_value=0, max_value=400))
def test_a_range_steps_by_its_own_length(first, days):
    which = WhichDays("days", first, first + dt.timedelta(days=days))
    after = which.stepped(1)
    assert after.first == which.last + dt.timedelta(days=1)
    assert after.last - after.first == which.last - which.first


def test_a_week_begins_on_monday():
    # ISO 8601 weeks begin on Monday; 2026-03-12 is a Thursday.
    which = days_of("week", dt.date(2026, 3, 12))
    assert (which.first, which.last) == (dt.date(2026, 3, 9), dt.date(2026, 3, 15))


def test_a_leap_month_has_its_day():
    assert days_of("month", dt.date(2028, 2, 3)).last == dt.date(2028, 2, 29)


def test_today_is_the_shops_date_not_the_machines():
    shop = tiny_shop()
    there = shop.model_copy(update={"shop": shop.shop.model_copy(update={"zone": "Asia/Tokyo"})})
    at_noon = START.replace(hour=16)
    assert today(shop, at_noon) == dt.date(2026, 3, 2)
    assert today(there, at_noon) == dt.date(2026, 3, 3)


@pytest.mark.parametrize("typed", ["", "12.3.2026", "2026-02-30", "0001-01-01", "9" * 500])
def test_a_date_that_is_none_is_said_with_an_example(typed):
    with pytest.raises(ValueError, match="type a date such as 2026-03-12"):
        read_date(typed)
