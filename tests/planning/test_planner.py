"""Plans of whole shops: they keep every rule, follow the plan before, and say what is lost."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import NoReturn

import pytest

from floorboard.floor.casting import Casting
from floorboard.floor.floor import Floor, MoldState
from floorboard.planning import planner
from floorboard.planning.build_problem import build_problem
from floorboard.planning.check_plan import check_plan
from floorboard.planning.errors import NetworkError, PlanningError
from floorboard.planning.planner import plan_shop
from floorboard.planning.shop_problem import ShopProblem
from floorboard.planning.solution import Limits, Solution
from floorboard.shop.build import build_of
from floorboard.shop.file import read_shop_file
from floorboard.shop.locations import seed_file
from tests.planning import urn_shop as u

MONDAY = dt.datetime(2026, 3, 9, tzinfo=dt.UTC)


@pytest.mark.parametrize("seed", ["demo.toml", "first.toml", "small-us.toml"])
@pytest.mark.parametrize("hour", [8, 15, 20])
def test_a_starter_shop_is_planned_within_every_rule(seed: str, hour: int) -> None:
    shop = read_shop_file(seed_file(seed))
    plan = plan_shop(shop, Floor(), MONDAY + dt.timedelta(hours=hour, seconds=201))
    assert check_plan(shop, Floor(), plan) == []
    assert plan.tasks
    assert not any("broke the rule" in note for note in plan.notes)


def test_two_molds_share_batches_and_the_day_is_filled() -> None:
    plan = plan_shop(u.shop_with(), Floor(), u.EIGHT)
    assert any(len(batch.servings) == 2 for batch in plan.batches)
    today = [c for c in plan.castings if c.demolded_at and c.demolded_at <= u.minutes(480)]
    assert len(today) >= 14


def floor_with(*minutes_before_eight: float) -> Floor:
    """A floor at eight with castings in urn-1, urn-2 ..., their first layers applied then."""
    floor = Floor()
    for number, minutes in enumerate(minutes_before_eight, start=1):
        serial = f"260309-0{number}"
        build = build_of(u.shop_with(), "urn")
        casting = Casting.begin(serial, f"urn-{number}", build, u.minutes(-60), "ana")
        casting.readied_at = u.minutes(-55)
        casting.coats[0].begun_at = u.minutes(-minutes - 3)
        casting.coats[0].applied_at = u.minutes(-minutes)
        floor.castings[serial] = casting
    return floor


def test_a_casting_in_a_mold_comes_before_any_new_one() -> None:
    plan = plan_shop(u.shop_with(), floor_with(17), u.EIGHT)
    first = next(task for task in plan.tasks if task.person == "ana")
    # Its window closes at 08:03, the mix takes a minute and a half.
    assert (first.kind, first.castings[0], first.start) == ("batch", "260309-01", u.EIGHT)
    assert plan.lost == ()


def test_a_window_that_closed_is_named_with_how_long_ago() -> None:
    plan = plan_shop(u.shop_with(), floor_with(24), u.EIGHT)
    (lost,) = plan.lost
    assert (lost.casting, lost.layer, lost.closes_at) == ("260309-01", 1, u.minutes(-4))
    assert lost.reason == "The window of layer 2 closed 4 min ago."
    # At the earliest now, after mixing: four minutes and a mix of a minute and a half late.
    assert lost.by_seconds == 330


def test_a_mix_begun_too_late_is_named_with_how_much_sooner_would_have_saved_it() -> None:
    (lost,) = plan_shop(u.shop_with(), floor_with(19), u.EIGHT).lost
    assert lost.would_have_saved == "The mix begun 30 s ago."
    assert lost.by_seconds == 30


def test_one_more_pair_of_hands_is_named_where_it_would_have_saved_a_casting() -> None:
    # Both windows close at 08:03. A shared batch is ready at 08:01:30 for the one and, after three
    # minutes of work, for the other at 08:04:30.
    two = {"mixer": {"name": "Mixer", "places": 2}, "frame": {"name": "Frame", "places": 2}}
    shop = u.shop_with(stations={**u.SHOP["stations"], **two})
    (lost,) = plan_shop(shop, floor_with(17, 17), u.EIGHT).lost
    assert lost.would_have_saved == "One more pair of hands that can lay it."
    assert lost.by_seconds == 90


def test_working_through_the_break_is_named_where_it_would_have_saved_a_casting() -> None:
    at = u.minutes(4 * 60)
    floor = floor_with(15 - 4 * 60)
    (lost,) = plan_shop(u.shop_with(), floor, at).lost
    assert lost.would_have_saved == "Working through the break."


def test_a_new_plan_stays_with_the_one_people_follow() -> None:
    first = plan_shop(u.shop_with(), Floor(), u.EIGHT)
    again = plan_shop(u.shop_with(), Floor(), u.EIGHT, first)
    assert again.moved_next_hour == 0
    assert again.tasks == first.tasks


def test_a_plan_says_how_many_tasks_of_the_next_hour_it_moved() -> None:
    first = plan_shop(u.shop_with(), Floor(), u.EIGHT)
    late = plan_shop(u.shop_with(), Floor(), u.minutes(20), first)
    assert late.moved_next_hour is not None
    assert late.moved_next_hour > 0


def test_somebody_who_went_home_and_a_mold_out_of_service_are_planned_around() -> None:
    floor = Floor(away={"ben": u.minutes(-1)}, molds={"urn-2": MoldState(in_service=False)})
    plan = plan_shop(u.shop_with(), floor, u.EIGHT)
    today = [task for task in plan.tasks if task.start < u.minutes(480)]
    assert {task.person for task in today} == {"ana"}
    assert {casting.mold for casting in plan.castings} == {"urn-1"}


def test_only_what_orders_want_is_begun_and_the_earlier_order_first() -> None:
    orders = {
        "late": {"piece": "urn", "quantity": 2, "due": "2026-03-20"},
        "soon": {"piece": "urn", "quantity": 1, "due": "2026-03-10"},
    }
    plan = plan_shop(u.shop_with(orders=orders), Floor(), u.EIGHT)
    assert sorted(casting.order or "" for casting in plan.castings) == ["late", "late", "soon"]
    demolded = {casting.order: casting.demolded_at for casting in plan.castings}
    assert min(plan.castings, key=lambda c: c.demolded_at or u.EIGHT).order == "soon", demolded
    outlook = {entry.order: entry for entry in plan.orders}
    assert (outlook["soon"].planned, outlook["late"].planned) == (1, 2)


def test_what_hands_cannot_finish_today_is_begun_to_stand_over_night() -> None:
    urn = {**u.URN, "full_cure": "12 h"}
    plan = plan_shop(u.shop_with(pieces={"urn": urn}), Floor(), u.EIGHT)
    assert len(plan.castings) == 2
    assert all(c.demolded_at and c.demolded_at.day == 10 for c in plan.castings)


def test_nobody_at_work_is_said_in_a_sentence() -> None:
    floor = Floor(away={"ana": u.EIGHT, "ben": u.EIGHT})
    people = {
        key: {**person, "shifts": [{"days": "mon", "start": "08:00", "end": "16:00"}]}
        for key, person in u.SHOP["people"].items()
    }
    plan = plan_shop(u.shop_with(people=people), floor, u.EIGHT, horizon=u.minutes(480))
    assert plan.tasks == ()
    assert any("Nobody has a shift" in note for note in plan.notes)


def _stumble(*_: object, **__: object) -> NoReturn:
    raise ZeroDivisionError("no steps")


def test_an_engine_that_stumbles_leaves_a_simpler_plan_and_says_so(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(planner, "improve", _stumble)
    plan = plan_shop(u.shop_with(), Floor(), u.EIGHT, limits=Limits(seconds=1))
    assert check_plan(u.shop_with(), Floor(), plan) == []
    assert plan.tasks
    assert plan.notes[0].startswith("A way to plan failed (ZeroDivisionError: no steps).")


def test_a_network_that_contradicts_itself_leaves_a_simpler_plan_and_says_so(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def build(*given: object, begin: bool = True, **more: object) -> ShopProblem:
        if begin:
            raise NetworkError("Task 3 ends before it begins.")
        return build_problem(*given, begin=begin, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(planner, "build_problem", build)
    floor = floor_with(17)
    plan = plan_shop(u.shop_with(), floor, u.EIGHT)
    assert check_plan(u.shop_with(), floor, plan) == []
    assert {casting for task in plan.tasks for casting in task.castings} == {"260309-01"}
    assert plan.notes[0].startswith(
        "A way to plan failed (NetworkError: Task 3 ends before it begins)."
    )


def test_a_shop_that_cannot_be_planned_is_refused_in_its_own_words(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def refuse(*_: object, **__: object) -> NoReturn:
        raise PlanningError("Nothing can be planned; mend the shop.")

    monkeypatch.setattr(planner, "build_problem", refuse)
    with pytest.raises(PlanningError, match="mend the shop"):
        plan_shop(u.shop_with(), Floor(), u.EIGHT)


def test_an_answer_that_breaks_a_rule_leaves_a_simpler_plan_and_says_so(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def all_at_once(_problem: object, start: Solution, *_: object) -> Solution:
        heap = tuple(
            placed and replace(placed, start=0, ready=placed.ready - placed.start, end=placed.end)
            for placed in start.placements
        )
        return replace(start, placements=heap)

    monkeypatch.setattr(planner, "improve", all_at_once)
    plan = plan_shop(u.shop_with(), Floor(), u.EIGHT, limits=Limits(seconds=1))
    assert check_plan(u.shop_with(), Floor(), plan) == []
    assert plan.tasks
    assert "broke the rule" in plan.notes[0] or "failed" in plan.notes[0]


def test_without_any_plan_that_holds_that_is_said_and_nothing_is_asked_of_anyone(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(planner, "build_problem", _stumble)
    plan = plan_shop(u.shop_with(), Floor(), u.EIGHT)
    assert (plan.tasks, plan.status) == ((), "none")
    assert any(note.startswith("There is no plan: none of those tried") for note in plan.notes)
