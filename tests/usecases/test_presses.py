"""What one press of confirm means, before it is pressed."""

from __future__ import annotations

from floorboard.floor import events as e
from floorboard.planning.plan import (
    Plan,
    PlannedBatch,
    PlannedCasting,
    PlannedServing,
    PlannedTask,
    empty_plan,
)
from floorboard.usecases.press_words import press_words
from floorboard.usecases.presses import next_press, press_for_mold, press_planned
from floorboard.usecases.stage_times import stage_seconds
from tests.log_of import batch, begun, floor_of, to_demold, to_first_layer
from tests.tiny_shop import after, tiny_shop

SHOP = tiny_shop()
NOTHING = empty_plan(after(0), after(600), 0)


def kinds_of_a_whole_casting():
    lines = [*to_demold()]
    lines += [
        (90, e.StepBegun(castings=("c1",), step=0)),
        (94, e.StepDone(castings=("c1",), step=0)),
    ]
    return [press_for_mold(floor_of(*lines[:cut]), "m1", "ana").kind for cut in range(13)]


def test_one_casting_is_taken_through_its_mold_press_by_press():
    assert kinds_of_a_whole_casting() == [
        "begin casting",
        "mold readied",
        "begin batch",
        "wet batch",
        "begin layer",
        "end layer",
        "begin batch",
        "wet batch",
        "begin layer",
        "end layer",
        "begin demold",
        "end demold",
        "begin casting",
    ]


def test_what_is_in_hand_goes_before_what_is_planned():
    floor = floor_of(*to_first_layer()[:4])
    press = next_press(floor, _plan_of_ready("m2"), "ana")
    assert (press.kind, press.batch) == ("begin layer", "b1")


def test_someone_with_free_hands_begins_what_the_plan_asks():
    press = next_press(floor_of(), _plan_of_ready("m2"), "ana")
    assert (press.kind, press.mold) == ("begin casting", "m2")
    assert press_words(SHOP, floor_of(), press) == "Clean and ready mold 2"


def test_a_planned_task_done_meanwhile_asks_for_nothing():
    floor = floor_of((0, begun("c1", "m2")))
    task = _plan_of_ready("m2").tasks[0]
    assert press_planned(floor, _plan_of_ready("m2"), task) is None


def test_a_planned_batch_finds_a_casting_begun_since_by_its_mold():
    floor = floor_of((0, begun("c7", "m2")), (5, e.MoldReadied(casting="c7")))
    plan = _plan_of_batch("new-2-1", "m2")
    press = next_press(floor, plan, "ana")
    assert (press.kind, press.servings) == ("begin batch", (("c7", 0),))
    assert press_words(SHOP, floor, press) == "Weigh for mold 2 layer 1"


def test_a_shared_batch_names_every_mold_it_serves():
    floor = floor_of(
        (0, begun("c1", "m1")), (0, begun("c2", "m3")), (5, batch("b1", ("c1", 0), ("c2", 0)))
    )
    press = next_press(floor, NOTHING, "ana")
    assert press.kind == "wet batch"
    words = press_words(SHOP, floor, press)
    assert words == "Wet and mix for mold 1 layer 1 and mold 3 layer 1"


def test_a_step_of_several_castings_is_one_press():
    lines = [*to_demold("c1", "m1"), (90, e.StepBegun(castings=("c1",), step=0))]
    press = next_press(floor_of(*lines), NOTHING, "ana")
    assert (press.kind, press.castings, press.index) == ("end step", ("c1",), 0)


def test_stages_last_as_long_as_the_build_says():
    lines = to_first_layer()
    seconds = [
        stage_seconds(floor_of(*lines[:cut]), press_for_mold(floor_of(*lines[:cut]), "m1", "ana"))
        for cut in range(6)
    ]
    assert seconds == [0, 300, 0, 120, 60, 300]


def _plan_of_ready(mold):
    return Plan(
        made_at=after(0),
        until=after(600),
        seq=0,
        tasks=(
            PlannedTask(
                kind="ready", person="ana", start=after(1), end=after(6), castings=("new-1",)
            ),
        ),
        castings=(
            PlannedCasting(
                id="new-1", mold=mold, piece="bowl", new=True, demolded_at=None, finished_at=None
            ),
        ),
    )


def _plan_of_batch(placeholder, mold):
    return Plan(
        made_at=after(0),
        until=after(600),
        seq=0,
        tasks=(
            PlannedTask(
                kind="batch",
                person="ana",
                start=after(6),
                end=after(9),
                castings=(placeholder,),
                batch="p1",
            ),
        ),
        batches=(
            PlannedBatch(
                id="p1",
                mix="coat",
                person="ana",
                start=after(6),
                wet=after(8),
                ready=after(9),
                end=after(14),
                grams=300,
                servings=(PlannedServing(casting=placeholder, layer=0, grams=300),),
            ),
        ),
        castings=(
            PlannedCasting(
                id=placeholder,
                mold=mold,
                piece="bowl",
                new=True,
                demolded_at=None,
                finished_at=None,
            ),
        ),
    )


def test_a_layer_that_already_has_its_batch_is_not_weighed_for_again():
    plan = _plan_of_batch("c1", "m1")
    before = to_first_layer()[:2]
    assert press_planned(floor_of(*before), plan, plan.tasks[0]).kind == "begin batch"
    floor = floor_of(*before, (6, batch("b1", ("c1", 0))))
    assert press_planned(floor, plan, plan.tasks[0]) is None


def test_a_batch_whose_layer_another_batch_went_into_is_no_longer_in_hand():
    begun_twice = [(26, batch("b2", ("c1", 1))), (26, batch("b3", ("c1", 1)))]
    poured = (30, e.LayerApplied(casting="c1", layer=1, batch="b2"))
    floor = floor_of(*to_first_layer(), *begun_twice, poured)
    assert list(floor.open_batches()) == []
    assert floor.in_hand("ana") is None
