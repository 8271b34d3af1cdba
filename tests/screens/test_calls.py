"""What the board calls people for, on tiny floors whose times can be followed in the head."""

from __future__ import annotations

import datetime as dt
from types import SimpleNamespace

from hypothesis import given, settings
from hypothesis import strategies as st

from floorboard.floor import events as e
from floorboard.floor.floor import Floor
from floorboard.planning.plan import (
    Plan,
    PlannedBatch,
    PlannedCasting,
    PlannedServing,
    PlannedTask,
    empty_plan,
)
from floorboard.screens.call_desk import CallDesk
from floorboard.screens.calls import Call, CallBasis
from tests.log_of import batch, begun, floor_of, to_demold, to_first_layer
from tests.tiny_shop import START, after, tiny_shop

SHOP = tiny_shop()
NO_PLAN = empty_plan(START, START, 0)
# The first layer ends at minute 13; the second opens at 28 and closes at 53. Weighing and mixing
# take three minutes.
FIRST_LAYER = to_first_layer()


def plan_of(*tasks: PlannedTask, batches: tuple[PlannedBatch, ...] = (), new: str = "") -> Plan:
    castings = ()
    if new:
        castings = (
            PlannedCasting(
                id=new, mold="m2", piece="bowl", new=True, demolded_at=None, finished_at=None
            ),
        )
    return Plan(
        made_at=START, until=after(600), seq=0, tasks=tasks, batches=batches, castings=castings
    )


def second_layer_at(minutes: float, person: str = "ben") -> Plan:
    weighing = PlannedBatch(
        id="p1",
        mix="coat",
        person=person,
        start=after(minutes),
        wet=after(minutes + 2),
        ready=after(minutes + 3),
        end=after(minutes + 9),
        grams=450,
        servings=(PlannedServing(casting="c1", layer=1, grams=450),),
    )
    task = PlannedTask(
        kind="batch",
        person=person,
        start=after(minutes),
        end=after(minutes + 3),
        castings=("c1",),
        index=1,
        batch="p1",
    )
    return plan_of(task, batches=(weighing,))


def calls_at(floor: Floor, plan: Plan, now: dt.datetime) -> list[Call]:
    return CallBasis.of(SHOP, floor, plan).at(now)


def first(floor: Floor, plan: Plan, minutes: float) -> Call | None:
    calls = calls_at(floor, plan, after(minutes))
    return calls[0] if calls else None


def kinds(floor: Floor, plan: Plan, minutes: float) -> list[str]:
    return [call.kind for call in calls_at(floor, plan, after(minutes))]


def test_a_curing_mold_calls_nobody() -> None:
    assert kinds(floor_of(*FIRST_LAYER), NO_PLAN, 20) == []


def test_without_a_plan_notice_comes_early_enough_to_weigh_and_mix() -> None:
    floor = floor_of(*FIRST_LAYER)
    # Three minutes to weigh and mix before minute 28, two minutes of notice before that.
    assert kinds(floor, NO_PLAN, 22.9) == []
    assert kinds(floor, NO_PLAN, 23) == ["soon"]
    assert kinds(floor, NO_PLAN, 25) == ["due"]


def test_with_a_plan_notice_comes_before_the_planned_weighing() -> None:
    floor, plan = floor_of(*FIRST_LAYER), second_layer_at(31)
    assert kinds(floor, plan, 28.9) == []
    call = first(floor, plan, 29)
    assert call is not None
    assert (call.kind, call.mold, call.person, call.moment) == ("soon", 1, "ben", after(31))
    assert call.words == "weigh for layer 2"
    assert kinds(floor, plan, 31) == ["due"]


def test_a_window_that_closes_calls_only_when_the_plan_is_not_being_kept() -> None:
    floor = floor_of(*FIRST_LAYER)
    # Planned at minute 47, six minutes before the window closes: on time, so no alarm.
    assert kinds(floor, second_layer_at(47), 46) == ["soon"]
    assert kinds(floor, second_layer_at(47), 47.5) == ["due"]
    call = first(floor, second_layer_at(47), 48.1)
    assert call is not None
    assert (call.kind, call.moment) == ("closing", after(53))
    assert kinds(floor, NO_PLAN, 43) == ["closing"]


def test_a_plan_too_late_for_the_window_does_not_hush_it() -> None:
    assert kinds(floor_of(*FIRST_LAYER), second_layer_at(60), 44) == ["closing"]


def test_a_lost_window_says_so_at_the_second_it_is_lost() -> None:
    floor = floor_of(*FIRST_LAYER)
    assert kinds(floor, NO_PLAN, 53) == ["closing"]
    call = first(floor, NO_PLAN, 53 + 1 / 60)
    assert call is not None
    assert (call.kind, call.words) == ("window lost", "recoat window of layer 2 lost")


def test_work_in_hand_is_not_called_for() -> None:
    weighing = floor_of(*FIRST_LAYER, (25, batch("b2", ("c1", 1))))
    assert kinds(weighing, NO_PLAN, 26) == []
    pouring = floor_of(
        *FIRST_LAYER,
        (25, batch("b2", ("c1", 1))),
        (27, e.BatchWetted(batch="b2")),
        (28, e.LayerBegun(casting="c1", layer=1, batch="b2")),
    )
    assert kinds(pouring, NO_PLAN, 29) == []


def test_a_casting_set_aside_calls_nobody() -> None:
    floor = floor_of(*FIRST_LAYER, (20, e.CastingSetAside(casting="c1")))
    assert kinds(floor, NO_PLAN, 45) == []


def test_a_wet_batch_calls_before_and_after_its_working_time_ends() -> None:
    # Wetted at minute 27 with a working time of 12 minutes.
    floor = floor_of(*FIRST_LAYER, (25, batch("b2", ("c1", 1))), (27, e.BatchWetted(batch="b2")))
    assert kinds(floor, NO_PLAN, 36.9) == []
    assert [c.subject for c in calls_at(floor, NO_PLAN, after(37))] == ["b2"]
    assert kinds(floor, NO_PLAN, 37) == ["closing"]
    assert kinds(floor, NO_PLAN, 39.1) == ["window lost"]


def test_a_demold_is_due_when_the_plan_says_so_and_hands_are_free() -> None:
    lines = to_demold()[:-2]
    plan = plan_of(
        PlannedTask(kind="demold", person="ana", start=after(70), end=after(74), castings=("c1",))
    )
    assert kinds(floor_of(*lines), plan, 69.9) == []
    assert kinds(floor_of(*lines), plan, 70) == ["due"]
    ana_at_work = floor_of(*lines, (68, begun("c2", "m2")))
    assert kinds(ana_at_work, plan, 71) == []


def test_a_person_with_wet_hands_is_not_told_of_the_next_batch_too_soon() -> None:
    floor = floor_of(
        *FIRST_LAYER,
        (20, begun("c2", "m2")),
        (24, e.MoldReadied(casting="c2")),
        (24, batch("b2", ("c2", 0), working_minutes=30)),
        (26, e.BatchWetted(batch="b2")),
    )
    plan = second_layer_at(30, person="ana")
    assert kinds(floor, plan, 29) == []
    assert kinds(floor, plan, 30.5) == []
    assert kinds(floor, plan, 31.1) == ["due"]


def test_a_mold_is_called_for_only_while_it_is_empty() -> None:
    ready = PlannedTask(
        kind="ready", person="ben", start=after(10), end=after(15), castings=("new-2-1",)
    )
    plan = plan_of(ready, new="new-2-1")
    assert kinds(floor_of(), plan, 9.9) == []
    call = first(floor_of(), plan, 10)
    assert call is not None
    assert (call.mold, call.words) == (2, "clean and ready it")
    assert kinds(floor_of((9, begun("c9", "m2"))), plan, 10) == []


class Mute:
    """A speaker that says nothing."""

    def say(self, text: str, at_seconds: float) -> None:
        """Say nothing."""


def desk_at(floor: Floor, minutes: float) -> tuple[CallDesk, SimpleNamespace]:
    session = SimpleNamespace(shop=SHOP, floor=floor, plan=NO_PLAN, now=after(minutes))
    return CallDesk(session, Mute(), lambda pattern: None), session


def test_hearing_hushes_one_call_and_not_what_comes_after_it() -> None:
    desk, session = desk_at(floor_of(*FIRST_LAYER), 30)
    due = desk.look(0.0)
    assert due is not None
    assert desk.hear() is due
    assert desk.look(1.0) is None
    session.now = after(44)
    closing = desk.look(2.0)
    assert closing is not None
    assert closing.kind == "closing"


def test_what_can_still_be_saved_goes_first_and_an_old_loss_last() -> None:
    floor = floor_of(
        *FIRST_LAYER,
        (13, begun("c2", "m2")),
        (14, e.MoldReadied(casting="c2")),
        (14, batch("b2", ("c2", 0))),
        (15, e.BatchWetted(batch="b2")),
        (15, e.LayerBegun(casting="c2", layer=0, batch="b2")),
        (23, e.LayerApplied(casting="c2", layer=0, batch="b2")),
    )
    # c1 closes at 53, c2 at 63.
    assert [(c.kind, c.mold) for c in calls_at(floor, NO_PLAN, after(53.5))] == [
        ("closing", 2),
        ("window lost", 1),
    ]
    assert [(c.kind, c.mold) for c in calls_at(floor, NO_PLAN, after(52))] == [
        ("closing", 1),
        ("due", 2),
    ]
    lost_long_ago = calls_at(floor, second_layer_at_c2(58), after(58.5))
    assert [(c.kind, c.mold) for c in lost_long_ago] == [("due", 2), ("window lost", 1)]


def second_layer_at_c2(minutes: float) -> Plan:
    plan = second_layer_at(minutes)
    serving = PlannedServing(casting="c2", layer=1, grams=450)
    return plan.model_copy(
        update={"batches": (plan.batches[0].model_copy(update={"servings": (serving,)}),)}
    )


def test_a_finishing_step_without_a_plan_calls_nobody() -> None:
    assert kinds(floor_of(*to_demold()), NO_PLAN, 200) == []


@settings(max_examples=60, deadline=None)
@given(st.floats(0, 300), st.sampled_from([1, 6, 7, 9, 11, 12]))
def test_calls_never_name_a_thing_twice_and_never_outlive_being_heard(
    minutes: float, length: int
) -> None:
    floor = floor_of(*to_demold()[:length])
    now = START + dt.timedelta(minutes=minutes)
    calls = calls_at(floor, NO_PLAN, now)
    assert len({(call.subject, call.step) for call in calls}) == len(calls)
    desk, _ = desk_at(floor, minutes)
    heard = []
    while (call := desk.look(0.0)) is not None:
        heard.append(call.key)
        desk.hear()
    assert heard == [call.key for call in calls]
