"""The floor screen's keys, on a real store with the real planner."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

from floorboard.floor import events as e
from floorboard.screens import confirm_gate
from floorboard.screens.dialogs import AskChoice
from floorboard.screens.floor_screen.log_pane import LogPane, pane_lines
from tests.board_run import board, press, session_on, settled
from tests.tiny_shop import tiny_shop


def kinds(session):
    return [entry.event.kind for entry in reversed(session.store.latest(100))][1:]


async def test_a_casting_is_taken_through_every_layer_by_the_confirm_key_alone(tmp_path):
    with session_on(tmp_path / "f.db") as (session, clock):
        async with board(session).run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            # Minutes until each press: ready, weigh, wet, pour, end; cure; the same; full cure; demold.
            for minutes in (0, 5, 0, 2, 1, 5, 16, 2, 1, 6, 31, 4):
                clock.forward(minutes * 60)
                await press(pilot, "1", "enter")
            casting = next(iter(session.floor.castings.values()))
            assert casting.demolded_at == clock.now()
            assert casting.layers_applied == 2
            assert casting.flags == []
            logged = [kind for kind in kinds(session) if kind != "material weighed"]
            assert logged[:6] == [
                "casting begun",
                "mold readied",
                "batch begun",
                "batch wetted",
                "layer begun",
                "layer applied",
            ]


async def test_enter_follows_the_plan_when_no_mold_is_chosen(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await press(pilot, "enter")
            assert kinds(session) == ["casting begun"]


async def test_strike_undoes_the_last_entry_and_leaves_it_readable(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await press(pilot, "2", "enter", "minus")
            assert session.floor.casting_in("m2") is None
            struck = [entry for entry in session.store.latest(10) if entry.struck_by]
            assert [entry.event.kind for entry in struck] == ["casting begun"]


async def test_a_strike_is_one_line_of_the_pane_and_two_of_the_log(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await press(pilot, "2", "enter", "minus")
            pane = pilot.app.screen.query_one("#foot", LogPane)
            strike, *older = pane.render().plain.splitlines()
            assert "struck: Mold 2: " in strike
            assert not any("Mold 2" in line or "struck" in line for line in older)
            assert kinds(session) == ["casting begun", "entry struck"]


def test_a_strike_of_an_old_entry_is_told_by_what_it_struck():
    at = dt.datetime(2026, 3, 12, 8, tzinfo=dt.UTC)

    def entry(seq, event, struck_by=None):
        return e.Entry(
            seq=seq, id=f"x-{seq}", at=at, logged_at=at, station="", event=event,
            struck_by=struck_by,
        )  # fmt: skip

    far = entry(3, e.Noted(note="wrong"), struck_by=900)
    shown = [entry(900, e.EntryStruck(struck=3)), entry(899, e.Noted(note="right"))]
    found = pane_lines(shown, tiny_shop(), {}, ZoneInfo("UTC"), {3: far}.get)
    assert [line.text[6:].strip() for line in found] == ["struck: Note: wrong", "Note: right"]
    assert [line.struck_from is not None for line in found] == [True, False]
    unknown = pane_lines(shown, tiny_shop(), {}, ZoneInfo("UTC"), {}.get)
    assert unknown[0].text.endswith("Entry 3 struck")


async def test_a_rejected_casting_frees_its_mold_and_keeps_its_reason(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await press(pilot, "3", "enter", "3", "r")
            assert isinstance(pilot.app.screen, AskChoice)
            await press(pilot, "2")
            assert session.floor.casting_in("m3") is None
            last = session.store.latest(1)[0].event
            assert isinstance(last, e.CastingRejected)
            assert last.reason == "thin-wall"


async def test_two_presses_within_a_blink_are_one(tmp_path, monkeypatch):
    monkeypatch.setattr(confirm_gate, "BLINK_SECONDS", 600.0)
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            pilot.app.screen.gate.forget()
            await pilot.press("enter", "enter", "enter")
            await settled(pilot)
            assert kinds(session) == ["casting begun"]


async def test_a_mold_is_chosen_by_touch_and_let_go_by_touch(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await pilot.click("#board", offset=(5, 1))
            first = pilot.app.screen.chosen
            await pilot.click("#board", offset=(5, 1))
            assert first is not None
            assert pilot.app.screen.chosen is None


async def test_a_mold_nobody_has_is_said_not_to_be_there(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await press(pilot, "9")
            assert pilot.app.screen.last_said == "There is no mold 9."


async def test_pause_skip_and_service_are_logged(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await press(pilot, "1", "enter", "1", "a", "2", "k", "3", "v", "1")
            logged = kinds(session)
    assert logged == ["casting begun", "casting set aside", "mold rested", "mold taken out"]


async def test_a_mold_is_taken_out_for_a_cause_the_likelier_one_first(tmp_path):
    molds = {
        "m1": {"number": 1, "piece": "bowl"},
        "m2": {"number": 2, "piece": "bowl", "pulls": 70, "retire_at": 70},
    }
    with session_on(tmp_path / "f.db", tiny_shop(molds=molds)) as (session, _):
        async with board(session).run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            before = session.store.last_seq()
            await press(pilot, "1", "v", "escape")
            assert session.store.last_seq() == before
            await press(pilot, "v", "enter")
            assert session.store.latest(1)[0].event == e.MoldTakenOut(mold="m1", cause="other")
            await press(pilot, "2", "v", "enter")
            assert session.store.latest(1)[0].event == e.MoldTakenOut(mold="m2", cause="worn out")
            await press(pilot, "v")
            assert session.store.latest(1)[0].event == e.MoldPutBack(mold="m2")


async def test_a_molds_care_is_logged(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await press(pilot, "y", "2", "y")
            assert session.store.latest(1)[0].event == e.MoldCaredFor(mold="m2")
            assert pilot.app.screen.last_said == "Care of mold 2 logged."


async def test_the_time_it_really_happened_can_be_given(tmp_path):
    with session_on(tmp_path / "f.db") as (session, clock):
        async with board(session).run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            clock.forward(600)
            await press(pilot, "1", "e", "4", "enter")
            entry = session.store.latest(1)[0]
            assert (clock.now() - entry.at).total_seconds() == 240
            assert entry.logged_at == clock.now()


async def test_the_board_shows_the_same_floor_after_it_was_closed_and_opened(tmp_path):
    with session_on(tmp_path / "f.db") as (session, clock):
        async with board(session).run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            for minutes in (0, 5, 0, 2, 1, 5):
                clock.forward(minutes * 60)
                await press(pilot, "1", "enter")
            before = session.floor.castings
    with session_on(tmp_path / "f.db") as (again, later):
        later.at = clock.at
        assert again.floor.castings == before
        async with board(again).run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            row = pilot.app.screen.query_one("#board").rows[0]
            assert (row.number, row.state, row.countdown) == (1, "curing", "15:00")


async def test_an_entry_of_another_station_shows_within_a_tick(tmp_path):
    with (
        session_on(tmp_path / "f.db") as (session, _),
        session_on(tmp_path / "f.db") as (other, _),
    ):
        async with board(session).run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            other.confirm(other.press_for_mold("m2", "ben"))
            pilot.app.look_round()
            await settled(pilot)
            assert session.floor.casting_in("m2") is not None


async def test_a_batch_whose_casting_is_struck_is_no_longer_in_anyones_hands(tmp_path):
    with session_on(tmp_path / "f.db") as (session, clock):
        async with board(session).run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            for minutes in (0, 5, 0):
                clock.forward(minutes * 60)
                await press(pilot, "1", "enter")
            begun = next(e for e in session.store.latest(9) if e.event.kind == "casting begun")
            now = session.now
            session.store.strike(begun.seq, reason="", logged_at=now, person=None, station="bench")
            pilot.app.look_round()
            await settled(pilot)
            assert session.floor.in_hand("ana") is None
            assert session.press_for("ana").kind == "begin casting"
    with session_on(tmp_path / "f.db") as (again, _):
        async with board(again).run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            assert pilot.app.screen.query_one("#board").rows[0].state == "empty"
