"""Making a batch at the desk, on a real database: weights, lots, stages, corrections."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from floorboard.floor import events as e
from floorboard.mixing.refusal import MixingError
from floorboard.usecases.desk_choice import DeskChoice
from floorboard.usecases.presses import Press
from floorboard.usecases.weighing import corrected, lot_ran_out, stage_done, weighed
from tests.desk_shop import Desk

LOTS = (
    ("powder", "P1", 25_000.0),
    ("liquid", "L1", 10_000.0),
    ("quick", "Q1", 520.0),
    ("glass", "G1", 6_000.0),
)


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    found = Desk(tmp_path)
    found.receive(*LOTS)
    yield found
    found.close()


def begin_batch(desk: Desk, *molds: str, percents: dict[str, float] | None = None) -> str:
    castings = desk.begin(*molds)
    press = Press(
        "begin batch",
        "ana",
        molds[0],
        tuple(castings),
        servings=tuple((casting, 0) for casting in castings),
        percents=tuple((percents or {}).items()),
    )
    return desk.session.confirm(press)[0].event.batch


def weigh(desk: Desk, batch: str, grams: float | None = None) -> list[e.AnyEvent]:
    session = desk.session
    in_hand = session.batch_in_hand(batch)
    state = in_hand.making.next_addition
    wanted = state.more_grams if grams is None else grams
    source = "ticket" if grams is None else "typed"
    events = weighed(session.shop, session.book, in_hand, wanted, session.now, source)
    return [entry.event for entry in session.log_as_seen("ana", *events)]


def stir(desk: Desk, batch: str) -> list[e.AnyEvent]:
    events = stage_done(desk.session.batch_in_hand(batch), desk.session.now)
    return [entry.event for entry in desk.session.log_as_seen("ana", *events)]


def kinds(events: list[e.AnyEvent]) -> list[str]:
    return [event.kind for event in events]


def test_a_shared_batch_is_weighed_stage_by_stage_and_its_clock_starts_once(desk: Desk) -> None:
    batch = begin_batch(desk, "m1", "m2")
    making = desk.session.batch_in_hand(batch).making
    assert [(x.addition.material, x.target_grams) for x in making.additions] == [
        ("liquid", 200.0),
        ("powder", 400.0),
        ("quick", 10.0),
        ("glass", 36.0),
    ]
    assert kinds(weigh(desk, batch)) == ["lot opened", "material weighed"]
    assert kinds(weigh(desk, batch)) == ["lot opened", "material weighed", "batch wetted"]
    desk.forward(1)
    assert kinds(stir(desk, batch)) == ["batch staged"]
    weigh(desk, batch)
    stir(desk, batch)
    weigh(desk, batch)
    assert desk.session.batch_in_hand(batch).making.reading_grams == 646.0
    stir(desk, batch)
    assert desk.session.batch_in_hand(batch).making.ready
    assert desk.session.press_for("ana").kind == "begin layer"
    assert desk.session.book.lot(desk.session.shop, "powder", "P1").on_hand_grams == 24_600


def test_nothing_is_lost_when_the_board_is_opened_again_mid_batch(desk: Desk, tmp_path) -> None:
    batch = begin_batch(desk, "m1", percents={"quick": 2.0})
    weigh(desk, batch, 101.5)
    weigh(desk, batch)
    again = Desk.reopened(desk)
    making = again.session.batch_in_hand(batch).making
    assert making.stirring_since == desk.session.now
    assert making.additions[0].in_grams == 101.5
    # 2 % of 323 g / (3 + 0.02 + 0.18) to the scale's 0.1 g.
    assert making.additions[2].target_grams == 2.0
    again.close()


def test_an_over_pour_put_right_raises_every_other_target_and_the_ratio_is_back(desk: Desk) -> None:
    batch = begin_batch(desk, "m1", "m2")
    weigh(desk, batch, 212.0)
    in_hand = desk.session.batch_in_hand(batch)
    assert in_hand.making.additions[0].off
    desk.session.log_as_seen("ana", corrected(in_hand, in_hand.correction()))
    making = desk.session.batch_in_hand(batch).making
    assert [x.target_grams for x in making.additions] == [212.0, 424.0, 10.6, 38.2]
    assert making.additions[0].done
    assert not making.additions[0].off
    assert desk.session.floor.batches[batch].grams == pytest.approx(684.8)


def test_a_correction_after_stirring_tops_up_what_was_already_in(desk: Desk) -> None:
    batch = begin_batch(desk, "m1", "m2")
    weigh(desk, batch)
    weigh(desk, batch)
    stir(desk, batch)
    weigh(desk, batch, 11.0)
    in_hand = desk.session.batch_in_hand(batch)
    desk.session.log_as_seen("ana", corrected(in_hand, in_hand.correction()))
    making = desk.session.batch_in_hand(batch).making
    assert making.next_addition.addition.material == "liquid"
    assert making.next_addition.more_grams == 20.0
    assert making.comes_to_grams == pytest.approx(646 * 1.1, abs=0.2)


def test_a_batch_that_cannot_be_put_right_is_said_to_be_lost(desk: Desk) -> None:
    batch = begin_batch(desk, "m1", "m2")
    weigh(desk, batch, 900.0)
    in_hand = desk.session.batch_in_hand(batch)
    with pytest.raises(MixingError, match="Set it aside and weigh a new batch"):
        corrected(in_hand, in_hand.correction())


def test_a_short_weight_that_is_kept_is_flagged_and_not_asked_for_again(desk: Desk) -> None:
    batch = begin_batch(desk, "m1", "m2")
    weigh(desk, batch, 190.0)
    making = desk.session.batch_in_hand(batch).making
    assert making.additions[0].off
    assert "10 g under its 200 g" in making.additions[0].check.sentence
    assert making.next_addition.addition.material == "powder"


def test_a_short_weight_is_made_up_by_a_correction(desk: Desk) -> None:
    batch = begin_batch(desk, "m1", "m2")
    weigh(desk, batch, 190.0)
    in_hand = desk.session.batch_in_hand(batch)
    desk.session.log_as_seen("ana", corrected(in_hand, in_hand.correction()))
    state = desk.session.batch_in_hand(batch).making.next_addition
    assert (state.addition.material, state.more_grams) == ("liquid", 10.0)


def test_the_lot_first_to_expire_is_taken_and_the_next_one_after_it(desk: Desk) -> None:
    desk.session.log(
        "ana",
        e.LotReceived(material="liquid", lot="L0", grams=60, expires=desk.clock.now().date()),
    )
    batch = begin_batch(desk, "m1", "m2")
    events = [x for x in weigh(desk, batch) if isinstance(x, e.MaterialWeighed)]
    assert [(x.lot, x.target_grams, x.grams) for x in events] == [
        ("L0", 60.0, 60.0),
        ("L1", 140.0, 140.0),
    ]
    assert desk.session.batch_in_hand(batch).making.additions[0].lots == ("L0", "L1")


def test_a_lot_that_runs_out_early_is_counted_empty_and_the_rest_comes_from_the_next(
    desk: Desk,
) -> None:
    desk.receive(("liquid", "L2", 5_000.0))
    batch = begin_batch(desk, "m1", "m2")
    session = desk.session
    events = lot_ran_out(
        session.book, session.shop, session.batch_in_hand(batch), 120.0, session.now
    )
    session.log_as_seen("ana", *events)
    state = session.batch_in_hand(batch).making.next_addition
    assert (state.addition.material, state.more_grams) == ("liquid", 80.0)
    assert [x.lot for x in weigh(desk, batch) if isinstance(x, e.MaterialWeighed)] == ["L2"]
    assert session.book.lot(session.shop, "liquid", "L1").on_hand_grams == 0
    with pytest.raises(MixingError, match="expected less than the"):
        lot_ran_out(session.book, session.shop, session.batch_in_hand(batch), 900.0, session.now)


def test_a_material_without_any_receipt_is_weighed_without_a_lot(tmp_path: Path) -> None:
    desk = Desk(tmp_path)
    batch = begin_batch(desk, "m1")
    assert kinds(weigh(desk, batch)) == ["material weighed"]
    assert weigh(desk, batch)[0].lot is None
    desk.close()


def test_whoever_only_presses_wetted_has_weighed_as_on_the_ticket(desk: Desk) -> None:
    batch = begin_batch(desk, "m1", "m2")
    weigh(desk, batch, 201.0)
    press = desk.session.press_for("ana")
    assert press.kind == "wet batch"
    logged = [entry.event for entry in desk.session.confirm(press)]
    assert kinds(logged)[-1] == "batch wetted"
    weights = [(x.material, x.grams, x.source) for x in logged if x.kind == "material weighed"]
    assert weights == [
        ("powder", 400.0, "ticket"),
        ("quick", 10.0, "ticket"),
        ("glass", 36.0, "ticket"),
    ]


def test_another_percentage_changes_the_working_time_and_the_cures_after_it(desk: Desk) -> None:
    begin_batch(desk, "m1", percents={"quick": 2.0})
    batch = next(iter(desk.session.floor.batches.values()))
    assert batch.working_seconds == 15 * 60
    # The table's cures: 45 min at 2 % against the mix's own 30 min at 5 %.
    assert batch.cure_factor == 1.5
    desk.session.log("ana", e.ConditionsRead(room_celsius=10))
    begin_batch(desk, "m3")
    cold = list(desk.session.floor.batches.values())[-1]
    assert (cold.working_seconds, cold.cure_factor) == (12 * 60 * 1.5, 1.5)


def test_a_room_temperature_that_cannot_be_is_refused_and_not_logged(desk: Desk) -> None:
    choice = DeskChoice(desk.session, "ana")
    choice.read_temperature(21.0)
    with pytest.raises(MixingError, match="found 70 C, expected -20 to 50 C"):
        choice.read_temperature(70.0)
    assert desk.session.floor.conditions.room_celsius == 21.0


def test_stirring_before_all_is_in_is_refused(desk: Desk) -> None:
    batch = begin_batch(desk, "m1")
    with pytest.raises(MixingError, match="Liquid B is still to go in"):
        stage_done(desk.session.batch_in_hand(batch), desk.session.now)


def test_two_stations_cannot_both_log_the_same_weighing(desk: Desk) -> None:
    from floorboard.shop.errors import StaleFloor

    batch = begin_batch(desk, "m1")
    other = Desk.reopened(desk)
    weigh(desk, batch)
    with pytest.raises(StaleFloor):
        weigh(other, batch)
    other.close()


def test_a_half_weighed_batch_poured_is_fact_and_noted_with_what_is_missing(desk: Desk) -> None:
    batch = begin_batch(desk, "m1", "m2")
    weigh(desk, batch)
    weigh(desk, batch)
    press = desk.session.press_for("ana")
    assert (press.kind, press.batch) == ("begin layer", batch)
    noted, poured = [entry.event for entry in desk.session.confirm(press)]
    assert noted == e.Noted(
        note=f"Poured with Quick stock, Chopped glass not logged as weighed into batch {batch}.",
        casting=press.castings[0],
    )
    assert isinstance(poured, e.LayerBegun)
    ended = desk.session.confirm(desk.session.press_for("ana"))
    assert {entry.event.kind for entry in ended} == {"layer applied", "layer begun"}


def test_a_batch_wholly_weighed_is_poured_without_a_word(desk: Desk) -> None:
    begin_batch(desk, "m1")
    desk.session.confirm(desk.session.press_for("ana"))
    poured = desk.session.confirm(desk.session.press_for("ana"))
    assert [entry.event.kind for entry in poured] == ["layer begun"]
