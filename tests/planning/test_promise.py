"""Promises, and the days ahead they stand on."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from floorboard.floor.floor import Floor
from floorboard.planning import promise as promising
from floorboard.planning.as_planned import floor_as_planned
from floorboard.planning.check_plan import check_plan
from floorboard.planning.days_ahead import days_ahead, roll_days
from floorboard.planning.planner import plan_shop
from floorboard.planning.promise import grams_for_one, promise
from floorboard.shop.shop import Shop
from tests.planning import urn_shop as u

QUESTION = promising._Question("urn", 1, 1, None, {}, 5)


def overnight_shop(**changes: Any) -> Shop:
    """Each of the two molds gives one urn a day, for an urn cures for 14 hours."""
    return u.shop_with(pieces={"urn": {**u.URN, "full_cure": "14 h"}}, **changes)


def test_two_molds_that_cure_over_night_give_two_urns_a_day_and_molds_bind() -> None:
    answer = promise(overnight_shop(), Floor(), u.EIGHT, "urn", 6, processes=1)
    # Cast on Monday, Tuesday and Wednesday; the last are demolded and finished on Thursday.
    assert answer.date == dt.date(2026, 3, 12)
    assert answer.binds[0].what == "molds"
    # With three molds they are cast on Monday and Tuesday.
    assert answer.binds[0].ready_at.date() == dt.date(2026, 3, 11)
    assert "one more mold" in answer.binds[0].sentence


def test_orders_already_taken_come_first() -> None:
    orders = {"taken": {"piece": "urn", "quantity": 2, "due": "2026-03-20"}}
    answer = promise(overnight_shop(orders=orders), Floor(), u.EIGHT, "urn", 2, explain=False)
    assert answer.date == dt.date(2026, 3, 11)
    free = promise(overnight_shop(), Floor(), u.EIGHT, "urn", 2, explain=False)
    assert free.date == dt.date(2026, 3, 10)


def test_material_that_has_to_be_ordered_binds() -> None:
    powder = {"name": "Powder", "form": "powder", "lead_time": "3 d"}
    shop = overnight_shop(materials={**u.SHOP["materials"], "powder": powder})
    # An urn takes 2 batches of 420 g, two thirds powder: 560 g. A kilogram is enough for one.
    assert grams_for_one(shop, "urn")["powder"] == pytest.approx(560)
    stock = {"powder": 1000.0}
    answer = promise(shop, Floor(), u.EIGHT, "urn", 2, on_hand_grams=stock, processes=1)
    (short,) = answer.shortages
    assert (short.castings_covered, short.needed_grams) == (1, 1120)
    # The powder arrives on Thursday morning, the second urn is finished on Friday.
    assert answer.date == dt.date(2026, 3, 13)
    assert answer.binds[0].what == "materials"
    assert answer.binds[0].ready_at.date() == dt.date(2026, 3, 10)


def test_what_is_not_finished_in_the_days_looked_at_has_no_date() -> None:
    answer = promise(overnight_shop(), Floor(), u.EIGHT, "urn", 50, most_days=2, explain=False)
    assert answer.ready_at is None
    assert "within 2 working days" in answer.notes[-1]


def test_a_week_ahead_counts_each_day_and_leaves_nothing_odd_in_the_log() -> None:
    shop = overnight_shop()
    days = list(roll_days(shop, Floor(), u.EIGHT, 6))
    # Monday to Friday and the Monday after: shifts are on weekdays only.
    assert [day.outlook.date.day for day in days] == [9, 10, 11, 12, 13, 16]
    assert [day.outlook.demolded for day in days] == [0, 2, 2, 2, 2, 2]
    for day in days:
        assert check_plan(shop, day.before, day.plan) == []
    assert [flag for c in days[-1].after.castings.values() for flag in c.flags] == []
    assert days_ahead(shop, Floor(), u.EIGHT, 2) == [day.outlook for day in days[:2]]


def test_the_floor_as_planned_has_in_hand_what_was_begun_and_not_ended() -> None:
    shop = u.shop_with()
    plan = plan_shop(shop, Floor(), u.EIGHT)
    at = u.minutes(8)
    floor = floor_as_planned(shop, Floor(), plan, at)
    assert [task.kind for task in floor.all_in_hand()] == ["batch"]
    again = plan_shop(shop, floor, at, plan)
    assert check_plan(shop, floor, again) == []
    assert again.moved_next_hour == 0


@pytest.mark.parametrize(("minutes", "named"), [(6, False), (29, False), (30, True)])
def test_what_brings_the_date_forward_by_some_minutes_is_not_named(minutes, named) -> None:
    look = promising._Look("molds", u.shop_with(), Floor(), u.EIGHT, QUESTION)
    sooner = u.EIGHT - dt.timedelta(minutes=minutes)
    found = promising._binds(u.shop_with(), u.EIGHT, [look], [sooner])
    assert bool(found) == named
    assert all("30 min sooner" in bind.sentence for bind in found)


@pytest.mark.parametrize(("minutes", "text"), [(45, "45 min"), (90, "1.5 h"), (2160, "1.5 days")])
def test_a_gain_is_said_in_min_h_or_days(minutes, text) -> None:
    assert promising.span_words(dt.timedelta(minutes=minutes)) == text
