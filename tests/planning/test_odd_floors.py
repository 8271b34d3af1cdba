"""Floors that a working day leaves behind and that planning once stumbled over."""

from __future__ import annotations

import datetime as dt

from floorboard.floor import events as e
from floorboard.floor.floor import Floor
from floorboard.floor.fold import fold
from floorboard.planning.check_plan import check_plan
from floorboard.planning.plan import Plan
from floorboard.planning.planner import plan_shop
from floorboard.shop.build import build_of
from tests.log_of import batch, begun, floor_of, log_of, to_demold, to_first_layer
from tests.tiny_shop import after, tiny_shop


def planned(floor: Floor, minute: float, **changes: object) -> Plan:
    """Return a plan at once within every rule: no simpler one had to step in."""
    shop = tiny_shop(**changes)
    plan = plan_shop(shop, floor, after(minute))
    assert check_plan(shop, floor, plan) == []
    assert not any("broke the rule" in note for note in plan.notes)
    return plan


def test_a_mold_that_is_skipped_and_yet_in_use_gets_no_new_casting_before_its_time() -> None:
    until = after(5 * 60)
    in_its_full_cure = to_demold("c1", "m1")[:-2]
    floor = floor_of((0, e.MoldRested(mold="m1", until=until)), *in_its_full_cure)
    one_mold = {"m1": {"number": 1, "piece": "bowl"}}
    plan = planned(floor, 40, molds=one_mold)
    begun_anew = [task.start for task in plan.tasks if task.kind == "ready"]
    assert all(start >= until for start in begun_anew)


def test_whoever_waits_with_a_batch_mixed_ahead_is_asked_for_nothing_else() -> None:
    # Layer 2 of c1 opens at minute 28; its batch is fit to pour at minute 18.
    floor = floor_of(
        *to_first_layer("c1", "m1"), (15, batch("b2", ("c1", 1))), (17, e.BatchWetted(batch="b2"))
    )
    ana = {"name": "Ana", "shifts": [{"days": "mon-sun", "start": "08:00", "end": "17:00"}]}
    plan = planned(floor, 19, people={"ana": ana})
    pour = next(task for task in plan.tasks if task.kind == "layer" and task.castings == ("c1",))
    assert pour.start == after(28)
    meanwhile = [
        task
        for task in plan.for_person("ana")
        if task.batch != "b2" and task.start < pour.end and task.end > after(19)
    ]
    assert meanwhile == []


def test_a_mold_with_two_castings_in_the_log_is_planned_by_the_later() -> None:
    floor = floor_of((0, begun("c1", "m1")), (30, begun("c2", "m1")))
    plan = planned(floor, 31)
    assert any("c1" in note for note in plan.notes)
    assert not any("c1" in task.castings and not task.fixed for task in plan.tasks)


def test_a_floor_logged_ahead_of_the_clock_is_planned_all_the_same() -> None:
    """The clock was set back: everything in the log lies in the future."""
    floor = floor_of(*to_first_layer("c1", "m1"))
    plan = planned(floor, -60)
    assert plan.made_at == after(0) - dt.timedelta(minutes=60)


def test_two_batches_begun_for_one_layer_are_planned_as_one() -> None:
    floor = floor_of(
        *to_first_layer("c1", "m1"), (26, batch("b2", ("c1", 1))), (27, batch("b3", ("c1", 1)))
    )
    plan = planned(floor, 28)
    pours = [task for task in plan.tasks if task.kind == "layer" and task.castings == ("c1",)]
    assert [task.batch for task in pours] == ["b3"]


def test_whoever_has_a_batch_and_something_else_in_hand_pours_after_it() -> None:
    floor = floor_of(
        *to_demold("c1", "m1"),
        (80, begun("c2", "m2")),
        (85, e.MoldReadied(casting="c2")),
        (86, batch("b3", ("c2", 0))),
        (88, e.StepBegun(castings=("c1",), step=0)),
    )
    plan = planned(floor, 88)
    pour = next(task for task in plan.tasks if task.kind == "layer" and task.batch == "b3")
    assert pour.start >= after(92)


def test_whoever_has_two_batches_in_hand_pours_one_after_the_other() -> None:
    ready = [(0, begun(c, m)) for c, m in (("c1", "m1"), ("c2", "m2"))]
    ready += [(5, e.MoldReadied(casting=c)) for c in ("c1", "c2")]
    floor = floor_of(*ready, (6, batch("b1", ("c1", 0))), (7, batch("b2", ("c2", 0))))
    pours = [t for t in planned(floor, 8).tasks if t.kind == "layer" and t.batch in {"b1", "b2"}]
    first, second = sorted(pours, key=lambda task: task.start)
    assert first.end <= second.start


def test_a_step_that_should_start_within_seconds_is_planned_late_rather_than_not() -> None:
    trim = {"kind": "trim", "takes": "4 min", "start_by": "20 min"}
    pieces = tiny_shop().model_dump()["pieces"]
    pieces["bowl"]["route"] = [trim]
    shop = tiny_shop(pieces=pieces)
    build = build_of(shop, "bowl")
    first = e.CastingBegun(casting="c1", mold="m1", piece="bowl", build=build.digest())
    log = log_of((0, first), *to_demold("c1", "m1")[1:-1], (80.1, e.Demolded(casting="c1")))
    floor = fold(log, {build.digest(): build})
    # Two seconds are left when the plan is drawn up: less than a step of its grid.
    now = after(100.1) - dt.timedelta(seconds=2)
    plan = plan_shop(shop, floor, now)
    assert check_plan(shop, floor, plan) == []
    assert any(task.kind == "step" and task.castings == ("c1",) for task in plan.tasks)
    assert not any("broke the rule" in note for note in plan.notes)


def test_a_rack_that_work_in_hand_overfills_is_no_fault_of_the_plan() -> None:
    rack = {"rack": {"name": "Rack", "places": 1}}
    pieces = tiny_shop().model_dump()["pieces"]
    pieces["bowl"]["route"] = [
        {"kind": "dry", "takes": "9 h", "station": "rack"},
        {"kind": "pack", "takes": "2 min"},
    ]
    shop = tiny_shop(pieces=pieces, stations=rack)
    build = build_of(shop, "bowl")
    kept = [
        (0, e.CastingBegun(casting=c, mold=m, piece="bowl", build=build.digest()))
        for c, m in (("c1", "m1"), ("c2", "m2"))
    ]
    lines = [line for c, m in (("c1", "m1"), ("c2", "m2")) for line in to_demold(c, m)[1:-1]]
    floor = fold(log_of(*kept, *lines, (80, e.Demolded(casting="c1"))), {build.digest(): build})
    plan = plan_shop(shop, floor, after(81))
    assert check_plan(shop, floor, plan) == []
    assert not any("broke the rule" in note for note in plan.notes)


def test_nobody_joins_a_session_that_began_before_their_turn() -> None:
    """Drawn by a random shop: trimmed by one person while another already seals the first."""
    route = [
        {"kind": "trim", "takes": "8 min"},
        {"kind": "seal", "takes": "9 min", "together": 2, "each_more": "2 min"},
    ]
    pieces = tiny_shop().model_dump()["pieces"]
    pieces["bowl"]["route"] = route
    shop = tiny_shop(pieces=pieces)
    build = build_of(shop, "bowl")
    lines = []
    for casting, mold in (("c1", "m1"), ("c2", "m2"), ("c3", "m3")):
        begun_here = e.CastingBegun(casting=casting, mold=mold, piece="bowl", build=build.digest())
        lines += [(0, begun_here), *to_demold(casting, mold)[1:]]
    floor = fold(log_of(*lines), {build.digest(): build})
    for minute in (81, 100, 300, 400, 500):
        plan = plan_shop(shop, floor, after(minute))
        assert check_plan(shop, floor, plan) == []
        assert not any("broke the rule" in note for note in plan.notes)
