"""The fold: what the log says of castings, batches and molds, and what it flags."""

from __future__ import annotations

import pytest

from floorboard.floor import events as e
from floorboard.floor.fold import fold
from floorboard.floor.fork import fork
from floorboard.floor.waits import next_wait
from tests.log_of import BUILDS, batch, begun, floor_of, log_of, to_demold, to_first_layer
from tests.tiny_shop import after


def flags_of(floor, casting="c1"):
    return [(flag.rule, round(flag.amount_seconds)) for flag in floor.castings[casting].flags]


def test_a_casting_just_begun_waits_for_its_mold_to_be_readied():
    wait = next_wait(floor_of((0, begun())).castings["c1"])
    assert (wait.kind, wait.opens_at) == ("ready", after(0))


def test_the_second_layer_opens_a_partial_cure_after_the_end_of_the_first_and_closes_with_its_window():
    wait = next_wait(floor_of(*to_first_layer()).castings["c1"])
    assert (wait.kind, wait.index) == ("layer", 1)
    assert (wait.opens_at, wait.closes_at) == (after(13 + 15), after(13 + 40))


def test_the_demold_opens_a_full_cure_after_the_last_layer():
    wait = next_wait(floor_of(*to_demold()[:-2]).castings["c1"])
    assert (wait.kind, wait.opens_at, wait.closes_at) == ("demold", after(35 + 30), None)


def test_drying_opens_the_seal_two_hours_after_the_trim():
    lines = [*to_demold(), (90, e.StepDone(castings=("c1",), step=0))]
    wait = next_wait(floor_of(*lines).castings["c1"])
    assert (wait.kind, wait.index, wait.behind) == ("step", 2, "drying")
    assert wait.opens_at == after(90 + 120)


def test_a_casting_is_closed_once_its_last_hands_on_step_is_done():
    lines = [*to_demold()]
    lines += [(210 + step, e.StepDone(castings=("c1",), step=step)) for step in (0, 2, 3)]
    casting = floor_of(*lines).castings["c1"]
    assert casting.closed
    assert casting.finished_at == after(213)
    assert next_wait(casting) is None


def test_an_orderly_casting_has_no_flags():
    floor = floor_of(*to_demold())
    assert flags_of(floor) == []
    assert floor.flags == []


@pytest.mark.parametrize(
    ("minute", "expected"),
    [
        (20, [("partial cure", 480)]),
        (28, []),
        (53, []),
        (60, [("recoat window", 420)]),
    ],
)
def test_a_pour_outside_its_window_is_taken_and_flagged_with_the_amount(minute, expected):
    lines = [*to_first_layer(), (minute, e.LayerBegun(casting="c1", layer=1))]
    lines += [(minute + 6, e.LayerApplied(casting="c1", layer=1))]
    floor = floor_of(*lines)
    assert flags_of(floor) == expected
    assert floor.castings["c1"].layers_applied == 2


def test_a_layer_worked_past_the_working_time_is_flagged():
    lines = [*to_first_layer()[:-1], (20, e.LayerApplied(casting="c1", layer=0, batch="b1"))]
    assert flags_of(floor_of(*lines)) == [("working time", 60)]


def test_a_demold_before_the_full_cure_is_taken_and_flagged():
    lines = [*to_demold()[:-2], (50, e.Demolded(casting="c1"))]
    floor = floor_of(*lines)
    assert flags_of(floor) == [("full cure", 900)]
    assert floor.castings["c1"].demolded_at == after(50)


def test_a_demold_logged_twice_counts_once():
    lines = [*to_demold(), (85, e.Demolded(casting="c1"))]
    floor = floor_of(*lines)
    assert flags_of(floor) == [("twice", 0)]
    assert floor.castings["c1"].demolded_at == after(80)


def test_a_casting_sealed_before_it_is_dry_is_flagged():
    lines = [*to_demold(), (90, e.StepDone(castings=("c1",), step=0))]
    lines += [(180, e.StepDone(castings=("c1",), step=2))]
    assert flags_of(floor_of(*lines)) == [("not dry", 1800)]


def test_a_second_casting_in_a_full_mold_is_flagged():
    floor = floor_of((0, begun("c1")), (1, begun("c2")))
    assert flags_of(floor, "c2") == [("one casting a mold", 0), ("one task a person", 0)]
    assert floor.casting_in("m1").serial == "c2"


def test_entries_about_a_casting_nobody_began_are_flagged_and_change_nothing():
    floor = floor_of((0, e.Demolded(casting="ghost")))
    assert [flag.rule for flag in floor.flags] == ["unknown"]
    assert floor.castings == {}


def test_a_struck_entry_counts_for_nothing():
    lines = [*to_first_layer(), (14, e.EntryStruck(struck=6))]
    floor = floor_of(*lines, struck={6: 7})
    assert floor.castings["c1"].layers_applied == 0
    assert floor.last_seq == 7


def test_a_rejected_casting_frees_its_mold_and_its_place_in_the_batch():
    lines = [
        (0, begun("c1", "m1")),
        (1, begun("c2", "m2")),
        (5, batch("b1", ("c1", 0), ("c2", 0))),
        (6, e.CastingRejected(casting="c1", reason="void")),
    ]
    floor = floor_of(*lines)
    assert floor.casting_in("m1") is None
    assert [serving.casting for serving in floor.batches["b1"].to_serve()] == ["c2"]


def test_rework_takes_a_casting_back_to_the_step():
    lines = [*to_demold()]
    lines += [(210 + step, e.StepDone(castings=("c1",), step=step)) for step in (0, 2)]
    lines += [(220, e.CastingSentBack(casting="c1", step=0, reason="colour"))]
    casting = floor_of(*lines).castings["c1"]
    assert (next_wait(casting).index, casting.rework) == (0, 1)


def test_pulls_count_from_the_first_layer_and_care_resets_nothing_but_its_own_count():
    floor = floor_of(*to_first_layer(), (14, e.MoldCaredFor(mold="m1")))
    assert (floor.molds["m1"].pulls, floor.molds["m1"].pulls_at_care) == (1, 1)


def test_people_leave_and_come_back():
    floor = floor_of((0, e.PersonLeft(who="ana")), (9, e.PersonBack(who="ana")))
    assert floor.away == {}
    assert floor_of((0, e.PersonLeft(who="ana"))).away == {"ana": after(0)}


def test_what_a_person_has_in_hand_follows_the_batch_then_ends_with_it():
    lines = to_first_layer()
    assert floor_of(*lines[:4]).in_hand("ana").batch == "b1"
    assert floor_of(*lines).in_hand("ana") is None


@pytest.mark.parametrize("cut", range(1, 12))
def test_folding_on_from_a_fork_equals_folding_at_once_and_leaves_the_first_floor_alone(cut):
    entries = log_of(*to_demold())
    first = fold(entries[:cut], BUILDS)
    before = fold(entries[:cut], BUILDS)
    forked = fold(entries[cut:], BUILDS, onto=fork(first, entries[cut:]))
    assert forked == fold(entries, BUILDS)
    assert first == before


@pytest.mark.parametrize(
    "event",
    [
        e.BatchCorrected(batch="b1", grams=333.0, targets=()),
        e.BatchLost(batch="b1"),
        e.MaterialWeighed(batch="b1", material="powder", target_grams=5.0, grams=5.0),
        e.LayerApplied(casting="c1", layer=0),
    ],
)
def test_an_entry_about_a_batch_that_is_over_leaves_the_floor_it_forks_from_alone(event):
    lines = [*to_first_layer()]
    lines = [line for line in lines if not isinstance(line[1], e.LayerApplied)]
    lines.append((50, e.BatchLost(batch="b1")))
    entries = log_of(*lines, (60, event))
    first, before = fold(entries[:-1], BUILDS), fold(entries[:-1], BUILDS)
    assert first.batches["b1"].over
    forked = fold(entries[-1:], BUILDS, onto=fork(first, entries[-1:]))
    assert forked == fold(entries, BUILDS)
    assert first == before
