"""Floors that a working day leaves behind and that planning once stumbled over."""

from __future__ import annotations

import datetime as dt

from floorboard.floor import events as e
from floorboard.floor.floor import Floor
from floorboard.planning.check_plan import check_plan
from floorboard.planning.plan import Plan
from floorboard.planning.planner import plan_shop
from tests.log_of import batch, begun, floor_of, to_demold, to_first_layer
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
