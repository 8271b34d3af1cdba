"""For every rule a hand-made plan that keeps it and one changed so that it is caught."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Callable
from typing import Any

import pytest

from floorboard.floor.batch import Batch
from floorboard.floor.casting import Casting
from floorboard.floor.events import ConditionsRead, Serving
from floorboard.floor.floor import Floor, MoldState
from floorboard.planning.check_plan import CHECKS, RULES, check_plan
from floorboard.planning.plan import LostWindow, Plan, PlannedBatch, PlannedTask, empty_plan
from floorboard.shop.build import build_of
from tests.planning import urn_shop as u


def broken(plan: Plan, shop: Any = None, floor: Floor | None = None) -> set[str]:
    """Names of the rules a plan breaks."""
    return {breach.rule for breach in check_plan(shop or u.shop_with(), floor or Floor(), plan)}


def change(plan: Plan, where: Callable[[PlannedTask], bool], **changes: Any) -> Plan:
    """The plan with the tasks that fit changed; there must be one."""
    assert any(where(task) for task in plan.tasks)
    tasks = [t.model_copy(update=changes) if where(t) else t for t in plan.tasks]
    return plan.model_copy(update={"tasks": tuple(tasks)})


def shift_task(plan: Plan, where: Callable[[PlannedTask], bool], by_minutes: float) -> Plan:
    by = dt.timedelta(minutes=by_minutes)
    tasks = [
        t.model_copy(update={"start": t.start + by, "end": t.end + by}) if where(t) else t
        for t in plan.tasks
    ]
    return plan.model_copy(update={"tasks": tuple(tasks)})


def move_batch(plan: Plan, name: str, by_minutes: float) -> Plan:
    """The plan with a batch and all its layers moved together."""
    by = dt.timedelta(minutes=by_minutes)
    moved = shift_task(plan, lambda t: t.batch == name, by_minutes)
    batches = [
        b.model_copy(update={key: getattr(b, key) + by for key in ("start", "wet", "ready", "end")})
        if b.id == name
        else b
        for b in plan.batches
    ]
    return moved.model_copy(update={"batches": tuple(batches)})


def change_batch(plan: Plan, name: str, **changes: Any) -> Plan:
    batches = [b.model_copy(update=changes) if b.id == name else b for b in plan.batches]
    return plan.model_copy(update={"batches": tuple(batches)})


def is_a(kind: str, casting: str, index: int = 0) -> Callable[[PlannedTask], bool]:
    return lambda t: t.kind == kind and casting in t.castings and t.index == index


def sand(casting: str) -> Callable[[PlannedTask], bool]:
    return is_a("step", casting, 1)


GOOD = u.hand_made_plan()


def test_the_hand_made_plan_keeps_every_rule() -> None:
    assert check_plan(u.shop_with(), Floor(), GOOD) == []


def two_at_once() -> Plan:
    return change(GOOD, sand("new-2"), start=u.minutes(80), end=u.minutes(85))


def into_the_break() -> Plan:
    return shift_task(GOOD, lambda t: t.kind == "step" and t.index == 2, 4 * 60 + 32 - 91)


def without_the_skill() -> Plan:
    return change(GOOD, is_a("demold", "new-2"), person="ben")


def too_short() -> Plan:
    return change(GOOD, is_a("demold", "new-1"), start=u.minutes(53.5))


def with_a_gap() -> Plan:
    late = shift_task(GOOD, is_a("layer", "new-2"), 0.5)
    return change_batch(late, "b1", end=u.minutes(13))


def wetted_early() -> Plan:
    # Used up at 08:12:30: wetted at 08:02 that is 10.5 min, over the 10 min less 30 s.
    plan = change(GOOD, lambda t: t.kind == "batch" and t.batch == "b1", start=u.minutes(1))
    return change_batch(plan, "b1", start=u.minutes(1), wet=u.minutes(2))


def demold_with_a_batch_in_hand() -> Plan:
    return shift_task(GOOD, is_a("demold", "new-1"), 20 - 53)


def over_the_bucket() -> Plan:
    return change_batch(GOOD, "b1", grams=1200.0)


def another_mix() -> Plan:
    return change_batch(GOOD, "b2", mix="other")


def before_the_partial_cure() -> Plan:
    return move_batch(GOOD, "b2", -0.5)


def after_the_window() -> Plan:
    # Opens at 08:19:30, closes at 08:29:30.
    return move_batch(GOOD, "b2", 10.5)


def in_a_dirty_mold() -> Plan:
    return shift_task(GOOD, is_a("ready", "new-2"), 5)


def before_the_full_cure() -> Plan:
    return shift_task(GOOD, is_a("demold", "new-1"), -1)


def sanded_wet() -> Plan:
    return shift_task(GOOD, sand("new-1"), -1)


def sanded_too_late() -> Plan:
    return shift_task(GOOD, sand("new-1"), 61)


def both_in_one_mold() -> Plan:
    castings = tuple(c.model_copy(update={"mold": "urn-1"}) for c in GOOD.castings)
    return GOOD.model_copy(update={"castings": castings})


def in_the_past() -> Plan:
    return shift_task(GOOD, is_a("ready", "new-1"), -1)


def made_up_fact() -> Plan:
    return change(GOOD, is_a("ready", "new-1"), fixed=True)


def half_a_casting() -> Plan:
    return GOOD.model_copy(
        update={"tasks": tuple(t for t in GOOD.tasks if not is_a("demold", "new-2")(t))}
    )


def drawn_off() -> Plan:
    return GOOD.model_copy(update={"cures": (u.cure("new-1", "full cure", 1, 22.5, 50),)})


MUTATIONS: dict[str, tuple[Callable[[], Plan], dict[str, Any]]] = {
    "one task a person": (two_at_once, {}),
    "shift": (into_the_break, {}),
    "skill": (without_the_skill, {}),
    "length": (too_short, {}),
    "batch": (with_a_gap, {}),
    "working time": (wetted_early, {}),
    "one wet batch": (demold_with_a_batch_in_hand, {}),
    "bucket": (over_the_bucket, {}),
    "same mix": (another_mix, {}),
    "mix ahead": (lambda: GOOD, {"shop": u.settings(mix_ahead=False)}),
    "partial cure": (before_the_partial_cure, {}),
    "recoat window": (after_the_window, {}),
    "readied": (in_a_dirty_mold, {}),
    "full cure": (before_the_full_cure, {}),
    "waiting time": (sanded_wet, {}),
    "start by": (sanded_too_late, {}),
    "one casting a mold": (both_in_one_mold, {}),
    "mold out": (
        lambda: GOOD,
        {"molds": {**u.SHOP["molds"], "urn-2": {"number": 2, "piece": "urn", "in_service": False}}},
    ),
    "station": (
        lambda: GOOD,
        {"stations": {**u.SHOP["stations"], "rack": {"name": "Rack", "places": 1}}},
    ),
    "past": (in_the_past, {}),
    "in hand": (made_up_fact, {}),
    "whole": (half_a_casting, {}),
    "stated": (drawn_off, {}),
}


@pytest.mark.parametrize("rule", sorted(MUTATIONS))
def test_a_plan_changed_to_break_a_rule_is_caught(rule: str) -> None:
    make, sections = MUTATIONS[rule]
    plan = make()
    assert rule in broken(plan, u.shop_with(**sections))


def test_every_rule_has_a_check_and_a_test() -> None:
    assert set(CHECKS) | {"start by"} == set(RULES)
    assert set(MUTATIONS) | {"left out"} == set(RULES)


def test_amounts_are_exact_seconds() -> None:
    found = [
        b
        for b in check_plan(u.shop_with(), Floor(), after_the_window())
        if b.rule == "recoat window"
    ]
    # new-1 may start until 08:29:30 and starts at 08:30; new-2 until 08:32:30, starts at 08:33.
    assert [(b.subject, b.amount, b.unit) for b in found] == [
        ("new-1", 30.0, "s"),
        ("new-2", 30.0, "s"),
    ]


def test_a_cold_day_lengthens_the_cures_a_plan_is_held_to() -> None:
    mix = {
        **u.SHOP["mixes"]["face"],
        "temperature": [{"at": "10 C", "factor": 2}, {"at": "20 C", "factor": 1}],
    }
    shop = u.shop_with(mixes={**u.SHOP["mixes"], "face": mix})
    at_20 = Floor(conditions=ConditionsRead(room_celsius=20))
    at_10 = Floor(conditions=ConditionsRead(room_celsius=10))
    assert broken(GOOD, shop, at_20) == set()
    assert {"partial cure", "full cure"} <= broken(GOOD, shop, at_10)


# --- work in hand and castings in molds ---


def floor_with_casting(*, applied: float | None = None) -> Floor:
    """A floor at eight with one casting in urn-1, its first layer applied so many minutes before."""
    casting = Casting.begin(
        "260309-01", "urn-1", build_of(u.shop_with(), "urn"), u.minutes(-30), "ana"
    )
    casting.readied_at = u.minutes(-25)
    if applied is not None:
        casting.coats[0].begun_at = u.minutes(-applied - 3)
        casting.coats[0].applied_at = u.minutes(-applied)
        casting.coats[0].person = "ana"
    return Floor(castings={"260309-01": casting}, molds={"urn-1": MoldState(pulls=1)})


def plan_for_it(**changes: Any) -> Plan:
    """Carries the casting of `floor_with_casting` on to demold."""
    serial = "260309-01"
    plan = Plan(
        made_at=u.EIGHT,
        until=u.minutes(480),
        seq=0,
        tasks=(
            u.task("batch", "ana", 4, 5.5, serial, batch="b1"),
            u.task("layer", "ana", 5.5, 8.5, serial, batch="b1", index=1),
            u.task("demold", "ana", 38.5, 42.5, serial),
        ),
        batches=(u.batch("b1", 4, 1, serial),),
    )
    return plan.model_copy(update=changes)


def test_a_casting_in_a_mold_is_held_to_its_logged_times() -> None:
    # Applied at 07:55: opens at 08:05, closes at 08:15.
    assert broken(plan_for_it(), floor=floor_with_casting(applied=5)) == set()
    assert broken(plan_for_it(), floor=floor_with_casting(applied=4)) == {"partial cure"}
    assert broken(plan_for_it(), floor=floor_with_casting(applied=15)) == {"recoat window"}


def test_a_casting_whose_window_closes_may_not_be_passed_over_in_silence() -> None:
    silent = empty_plan(u.EIGHT, u.minutes(480), 0)
    assert broken(silent, floor=floor_with_casting(applied=5)) == {"left out"}
    lost = LostWindow(
        casting="260309-01",
        layer=1,
        closes_at=u.minutes(15),
        by_seconds=60,
        reason="",
        would_have_saved="",
    )
    named = silent.model_copy(update={"lost": (lost,)})
    assert broken(named, floor=floor_with_casting(applied=5)) == set()


def test_a_casting_keeps_the_build_it_was_begun_with() -> None:
    floor = floor_with_casting(applied=5)
    urn = {**u.URN, "full_cure": "5 min"}
    assert broken(plan_for_it(), u.shop_with(pieces={"urn": urn}), floor) == set()
    sooner = shift_task(plan_for_it(), lambda t: t.kind == "demold", -1)
    assert broken(sooner, u.shop_with(pieces={"urn": urn}), floor) == {"full cure"}


def test_a_mold_that_is_full_takes_no_new_casting_before_its_demold() -> None:
    floor = floor_with_casting(applied=5)
    assert "one casting a mold" in broken(GOOD, floor=floor)


def floor_with_batch() -> Floor:
    """Ana has wetted a batch for the casting's second layer half a minute before eight."""
    floor = floor_with_casting(applied=5)
    serving = Serving(casting="260309-01", layer=1, grams=400)
    floor.batches["B1"] = Batch(
        "B1", "face", "ana", (serving,), 420, 600, 1.0, u.minutes(-1.5), wetted_at=u.minutes(-0.5)
    )
    return floor


def plan_with_batch() -> Plan:
    serial = "260309-01"
    held: PlannedBatch = u.batch("B1", -1.5, 1, serial).model_copy(
        update={"fixed": True, "ready": u.minutes(0), "end": u.minutes(8)}
    )
    return plan_for_it(
        tasks=(
            u.task("batch", "ana", -1.5, 0, serial, batch="B1", fixed=True),
            u.task("layer", "ana", 5, 8, serial, batch="B1", index=1),
            u.task("demold", "ana", 38, 42, serial),
        ),
        batches=(held,),
    )


def test_a_batch_in_hand_is_carried_and_may_be_held_until_the_cure_is_reached() -> None:
    assert broken(plan_with_batch(), floor=floor_with_batch()) == set()


def test_a_batch_in_hand_may_not_be_forgotten() -> None:
    assert "in hand" in broken(plan_for_it(), floor=floor_with_batch())


def test_a_batch_that_has_set_need_not_be_carried() -> None:
    floor = floor_with_batch()
    floor.batches["B1"].wetted_at = u.minutes(-11)
    assert broken(plan_for_it(), floor=floor) == set()


def test_nobody_does_anything_else_with_a_batch_in_hand() -> None:
    plan = plan_with_batch()
    more = (*plan.tasks, u.task("step", "ana", 1, 3, "260309-01", index=1))
    assert "one wet batch" in broken(
        plan.model_copy(update={"tasks": more}), floor=floor_with_batch()
    )


def test_work_in_hand_is_carried_as_it_was_logged() -> None:
    floor = floor_with_casting()
    casting = floor.castings["260309-01"]
    casting.readied_at = None
    carried = u.task("ready", "ana", -30, 1, "260309-01", fixed=True)
    plan = empty_plan(u.EIGHT, u.minutes(480), 0)
    assert broken(plan, floor=floor) == {"in hand"}
    assert "in hand" not in broken(plan.model_copy(update={"tasks": (carried,)}), floor=floor)
    by_ben = carried.model_copy(update={"person": "ben"})
    assert "in hand" in broken(plan.model_copy(update={"tasks": (by_ben,)}), floor=floor)


def test_somebody_who_went_home_is_given_nothing_today() -> None:
    assert "shift" in broken(GOOD, floor=Floor(away={"ben": u.minutes(-10)}))


def test_a_mold_that_rests_or_is_worn_out_takes_no_new_casting() -> None:
    resting = Floor(molds={"urn-2": MoldState(rests_until=u.minutes(1))})
    assert broken(GOOD, floor=resting) == {"mold out"}
    worn = {"number": 2, "piece": "urn", "pulls": 50, "retire_at": 50}
    shop = u.shop_with(molds={**u.SHOP["molds"], "urn-2": worn})
    assert broken(GOOD, shop) == {"mold out"}
    assert broken(GOOD, floor=Floor(molds={"urn-2": MoldState(in_service=False)})) == {"mold out"}


def test_drying_begun_before_the_plan_takes_a_place_of_the_rack() -> None:
    floor = floor_with_casting(applied=5)
    casting = floor.castings["260309-01"]
    casting.coats[1] = dataclasses.replace(casting.coats[0])
    casting.demolded_at = u.minutes(-1)
    # It dries until 08:19; the urns of the plan come to the rack of two at 08:57 and 09:01.
    assert broken(GOOD, floor=floor) == set()
    slow = {**u.URN, "route": [{**u.URN["route"][0], "takes": "90 min"}, *u.URN["route"][1:]]}
    casting.build = build_of(u.shop_with(pieces={"urn": slow}), "urn")
    assert broken(GOOD, floor=floor) == {"station"}
