"""Several stations on one database: nothing lost, nothing doubled, every conflict explained."""

from __future__ import annotations

import pytest

from benchmarks.stations import run_shift
from floorboard.floor import events as e
from floorboard.shop.errors import StaleFloor
from tests.board_run import board, press, session_on, settled


def kinds(session):
    return [entry.event.kind for entry in session.store.latest(20)[::-1]][1:]


def test_three_stations_at_once_lose_and_double_nothing(tmp_path):
    figures = run_shift(tmp_path, stations=3, hours=0.8)
    assert figures.wrong == []
    assert (figures.lost, figures.doubled) == (0, 0)
    assert figures.acknowledged > 30
    # Without a conflict nothing would have been tried.
    assert figures.refused > 0
    assert figures.sentence.endswith("Nothing was logged now; look again, then confirm.")


@pytest.mark.long
@pytest.mark.parametrize("stations", [2, 4, 6])
def test_a_whole_shift_of_up_to_six_stations(tmp_path, stations):
    figures = run_shift(tmp_path, stations=stations, hours=8, seed=stations)
    assert figures.sound, figures


def test_the_same_casting_confirmed_on_two_tablets_is_one_entry_and_a_sentence(tmp_path):
    with (
        session_on(tmp_path / "f.db") as (bench, _),
        session_on(tmp_path / "f.db") as (tablet, _),
    ):
        tablet.station = "tablet"
        by_ana, by_ben = bench.press_for_mold("m1", "ana"), tablet.press_for_mold("m1", "ben")
        bench.confirm(by_ana)
        with pytest.raises(StaleFloor) as refusal:
            tablet.confirm(by_ben)
        assert str(refusal.value) == (
            "Meanwhile 'casting begun' was logged by ana at bench about mold m1 (entry 2). "
            "Nothing was logged now; look again, then confirm."
        )
        tablet.refresh()
        assert kinds(tablet) == ["casting begun"]
        # What the same key would do now is the next thing, not the same again.
        assert tablet.press_for_mold("m1", "ben").kind == "mold readied"


def test_different_molds_are_confirmed_on_two_tablets_without_a_word(tmp_path):
    with (
        session_on(tmp_path / "f.db") as (bench, _),
        session_on(tmp_path / "f.db") as (tablet, _),
    ):
        by_ana, by_ben = bench.press_for_mold("m1", "ana"), tablet.press_for_mold("m2", "ben")
        bench.confirm(by_ana)
        tablet.confirm(by_ben)
        assert kinds(bench) == ["casting begun", "casting begun"]
        serials = [c.serial for c in tablet.store.floor().castings.values()]
        assert len(set(serials)) == 2


@pytest.mark.parametrize(("key", "answer"), [("r", "2"), ("a", None)])
async def test_a_casting_rejected_or_set_aside_at_two_stations_is_so_once(tmp_path, key, answer):
    with (
        session_on(tmp_path / "f.db") as (bench, _),
        session_on(tmp_path / "f.db") as (tablet, _),
    ):
        tablet.confirm(tablet.press_for_mold("m1", "ben"))
        async with board(bench).run_test(size=(100, 30)) as pilot:
            await settled(pilot)
            pilot.app.look_round()
            await settled(pilot)
            await press(pilot, "1")
            serial = bench.floor.casting_in("m1").serial
            # The other station is quicker; this one has not looked since.
            once = e.CastingRejected(casting=serial, reason="void")
            tablet.log("ben", once if key == "r" else e.CastingSetAside(casting=serial))
            bench.refresh = lambda: False
            await press(pilot, key, *([answer] if answer else []))
            del bench.refresh
            assert "Nothing was logged now" in pilot.app.screen.last_said
        logged = [
            kind for kind in kinds(tablet) if kind in {"casting rejected", "casting set aside"}
        ]
        assert len(logged) == 1
