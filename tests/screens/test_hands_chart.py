"""The hands chart: what it shows of a plan, and its keys."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import pytest

from floorboard.planning.chance import Chance, CountChance, Hurting, OrderChance
from floorboard.planning.plan import OrderOutlook, empty_plan
from floorboard.planning.planner import plan_shop
from floorboard.screens.floor_screen.floor_screen import FloorScreen
from floorboard.screens.hands_screen.hands_chart import ChartOfHands
from floorboard.screens.hands_screen.hands_screen import HandsScreen
from floorboard.screens.hands_screen.hands_view import chance_words, hands_chart, plan_words
from floorboard.screens.sheet import Sheet
from tests.board_run import board, press, session_on, settled
from tests.log_of import begun, floor_of
from tests.tiny_shop import START, after, tiny_shop

SHOP = tiny_shop()
FLOOR = floor_of((0, begun("c1", "m2")))
PLAN = plan_shop(SHOP, FLOOR, START)


def test_people_come_first_then_the_molds_by_number():
    chart = hands_chart(SHOP, PLAN, START, 6)
    names = [lane.name for lane in chart.lanes]
    assert names[:2] == ["Ana", "Ben"]
    assert names[2:] == ["mold 1", "mold 2", "mold 3"]


def test_every_planned_task_of_the_hours_shown_is_a_bar_of_its_person():
    chart = hands_chart(SHOP, PLAN, START, 4)
    bars = sum(len(lane.bars) for lane in chart.lanes if lane.is_person)
    assert bars == sum(task.start < chart.end and task.end > chart.start for task in PLAN.tasks)


def test_cures_run_beneath_between_the_layers_of_their_mold():
    lane = next(lane for lane in hands_chart(SHOP, PLAN, START, 6).lanes if lane.name == "mold 2")
    assert {"layer", "cure", "demold"} <= {bar.kind for bar in lane.bars}


def test_the_chart_moves_on_by_hours():
    chart = hands_chart(SHOP, PLAN, START, 3, moved_hours=2)
    assert chart.start == START + dt.timedelta(hours=2, minutes=-10)


def test_a_mold_no_longer_in_the_shop_is_left_out():
    molds = {key: mold for key, mold in SHOP.molds.items() if key != "m2"}
    chart = hands_chart(SHOP.model_copy(update={"molds": molds}), PLAN, START, 6)
    assert "mold 2" not in [lane.name for lane in chart.lanes]


def test_before_the_first_plan_it_is_said_that_there_is_none():
    assert plan_words(SHOP, empty_plan(START, START, 0), START) == ("No plan yet.",)


def test_the_plans_age_and_its_orders_are_said_in_words():
    order = OrderOutlook(
        order="fair",
        piece="bowl",
        wanted=6,
        done=0,
        planned=5,
        due=after(60),
        ready_at=None,
        late_seconds=5400,
    )
    plan = PLAN.model_copy(update={"orders": (order,), "gap": 0.02})
    said = plan_words(SHOP, plan, after(5))
    assert said[0].startswith("Plan 5 min old, within 2% of the best there can be")
    assert "As planned by Tue 17:00: " in said[0]
    assert said[1] == ("fair: 0 of 6 done; as planned by Tue 17:00: 5 of 6, late by 1h30 or more.")


def test_an_order_ready_within_the_plan_is_late_by_just_so_much():
    order = OrderOutlook(
        order="fair",
        piece="bowl",
        wanted=6,
        done=2,
        planned=6,
        due=after(60),
        ready_at=after(150),
        late_seconds=5400,
    )
    until = after(300)
    plan = PLAN.model_copy(update={"orders": (order,), "until": until})
    local = until.astimezone(ZoneInfo(SHOP.shop.zone))
    said = plan_words(SHOP, plan, START)
    assert said[1] == f"fair: 2 of 6 done; as planned by {local:%H:%M}: 6 of 6, late by 1h30."


def test_the_chance_of_todays_count_names_the_count_that_is_nearly_sure():
    counts = (CountChance(castings=3, chance=0.99), CountChance(castings=4, chance=0.95))
    counts += (CountChance(castings=5, chance=0.62),)
    hurting = Hurting(
        kind="layer",
        person="ben",
        start=after(30),
        castings=("c1",),
        index=1,
        minutes_per_minute=1.0,
        castings_per_hour=12.0,
    )
    chance = Chance(
        seq=0,
        days=100,
        planned=5,
        expected=4.5,
        chance_of_planned=0.62,
        counts=counts,
        orders=(
            OrderChance(order="fair", wanted=3, chance=0.8),
            OrderChance(order="far", wanted=3, chance=None),
        ),
        lost_castings=0.1,
        hurting=(hurting,),
        seed=1,
        runtime_seconds=0.1,
    )
    assert chance_words(SHOP, chance) == (
        "5 castings demolded today as planned: 62% likely; 4 or more: 95%.",
        "fair in time: 80% likely.",
        "Being late hurts most with Ben's layer at 08:30: every 5 min cost a casting today.",
    )


@pytest.mark.parametrize("size", [(60, 20), (120, 40)])
async def test_the_chart_shows_the_plan_and_its_chance_and_follows_its_keys(tmp_path, size):
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=size) as pilot:
            await settled(pilot)
            await press(pilot, "h")
            await settled(pilot)
            screen = pilot.app.screen
            assert isinstance(screen, HandsScreen)
            words = " ".join(line.text for line in screen.query_one("#words", Sheet).lines)
            assert "demolded today as planned" in words
            hours = screen.hours
            await press(pilot, "plus")
            assert screen.hours == 2 * hours
            await press(pilot, "minus", "minus", "right", "right")
            # Twice half of what is shown, from a little before now.
            start = START + dt.timedelta(minutes=-10, hours=screen.hours)
            assert f"Mon {start:%H:%M} to" in str(screen.query_one("#title").render())
            await press(pilot, "0")
            assert "Mon 07:50" in str(screen.query_one("#title").render())
            # The axis, a person, and beneath a mold.
            chart = screen.query_one(ChartOfHands)
            assert chart.render_line(1).text.startswith(" Ana")
            await press(pilot, "escape")
            assert isinstance(pilot.app.screen, FloorScreen)
