"""Confirm logs what the hand has seen, once; what it does not take it says."""

from __future__ import annotations

import pytest
from textual import events

from floorboard.floor import events as e
from floorboard.screens import confirm_gate
from floorboard.screens.app import BoardApp
from floorboard.screens.confirm_gate import (
    BLINK_SECONDS,
    CHANGED,
    LOOK_AGAIN_SECONDS,
    LOOK_FIRST,
    TWICE,
    ConfirmGate,
)
from floorboard.screens.key_bar import KeyBar
from floorboard.screens.key_guard import KeyGuard
from tests.board_run import board, press, session_on, settled


def screen_text(app: BoardApp) -> str:
    strips = app.screen._compositor.render_strips()
    return "\n".join("".join(segment.text for segment in strip) for strip in strips)


def test_what_has_stood_long_enough_is_taken() -> None:
    gate = ConfirmGate()
    assert gate.shows("pour", 10.0)
    assert gate.refusal(10.0 + LOOK_AGAIN_SECONDS * 0.9) == CHANGED
    assert gate.refusal(10.0 + LOOK_AGAIN_SECONDS * 1.1) == ""


def test_a_refused_press_is_no_press_for_the_blink_after_it() -> None:
    gate = ConfirmGate()
    gate.shows("pour", 10.0)
    at = 10.0 + LOOK_AGAIN_SECONDS
    assert gate.refusal(at - 0.01) == CHANGED
    assert gate.refusal(at + 0.01) == ""


def test_a_second_press_within_a_blink_is_refused_in_a_sentence() -> None:
    gate = ConfirmGate()
    gate.shows("pour", 0.0)
    assert gate.refusal(10.0) == ""
    assert gate.refusal(10.0 + BLINK_SECONDS * 0.9) == TWICE
    assert gate.refusal(10.0 + BLINK_SECONDS * 1.1) == ""


def test_the_same_thing_shown_again_is_no_news_and_nothing_is_never_new() -> None:
    gate = ConfirmGate()
    gate.shows("pour", 0.0)
    assert not gate.shows("pour", 10.0)
    assert not gate.shows(None, 10.0)
    assert gate.refusal(10.0) == ""


def test_what_this_hand_brought_up_needs_no_second_look() -> None:
    gate = ConfirmGate()
    assert not gate.shows("mold 3", 10.0, mine=True)
    assert gate.refusal(10.0) == ""


@pytest.fixture
def _long_moments(monkeypatch):
    """Let a blink and a look last, however busy the machine of the tests is."""
    monkeypatch.setattr(confirm_gate, "BLINK_SECONDS", 600.0)
    monkeypatch.setattr(confirm_gate, "LOOK_AGAIN_SECONDS", 600.0)


@pytest.mark.usefixtures("_long_moments")
async def test_enter_does_not_log_what_another_station_has_only_just_brought_up(tmp_path):
    with (
        session_on(tmp_path / "f.db") as (session, _),
        session_on(tmp_path / "f.db") as (other, _),
    ):
        app = board(session)
        async with app.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            app.screen.gate.forget()
            seen = app.screen.press_of(app.screen.active)
            # The other station begins just what Enter would begin here.
            other.confirm(seen)
            session.refresh()
            app.show_floor()
            await pilot.pause()
            before = session.floor.last_seq
            assert app.screen.press_of(app.screen.active) != seen
            assert LOOK_FIRST in screen_text(app)
            await pilot.press("enter")
            assert session.floor.last_seq == before
            assert CHANGED in app.screen.last_said
            # Having looked, the next press counts.
            await press(pilot, "enter")
            assert session.floor.last_seq > before


async def test_the_next_stage_of_what_this_hand_began_is_taken_at_once(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        app = board(session)
        async with app.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await press(pilot, "1", "enter")
            app.screen.gate._pressed_at = float("-inf")
            await pilot.press("enter")
            await settled(pilot)
            assert session.floor.casting_in("m1").readied_at is not None


async def test_a_mold_chosen_by_number_is_confirmed_at_once(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await pilot.press("2", "enter")
            await settled(pilot)
            assert session.floor.casting_in("m2") is not None


async def test_minutes_typed_are_about_what_was_asked_when_the_plan_moves_on_meanwhile(tmp_path):
    with session_on(tmp_path / "f.db") as (session, clock):
        app = board(session)
        async with app.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            clock.forward(600)
            await pilot.press("2", "e", "5")
            app.screen_stack[1].chosen = "m1"
            await press(pilot, "enter")
            assert session.floor.casting_in("m2") is not None
            assert session.floor.casting_in("m1") is None


@pytest.mark.usefixtures("_long_moments")
async def test_a_second_press_within_a_blink_is_said_beside_what_was_logged(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        app = board(session)
        async with app.run_test(size=(120, 24)) as pilot:
            await settled(pilot)
            await pilot.press("2", "enter", "enter")
            await settled(pilot)
            assert isinstance(session.store.latest(1)[0].event, e.CastingBegun)
            assert app.screen.last_said.startswith("Logged:")
            assert TWICE in app.screen.last_said


async def test_a_key_held_back_lights_up_and_a_bounce_is_said(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        app = board(session)
        async with app.run_test(size=(120, 24)) as pilot:
            await settled(pilot)
            app.screen.gate.forget()
            app.guard = KeyGuard(app)
            bar = app.screen.query_one(KeyBar)
            first, bounce = events.Key("enter", "\r"), events.Key("enter", "\r")
            bounce.time = first.time + 0.01
            assert await app.guard.takes(first)
            assert bar._lit == "Enter"
            assert await app.guard.takes(bounce)
            await app.guard._settle(first.time + 1.0)
            await settled(pilot)
            await app.guard._settle(first.time + 1.0)
            app.guard._tell_twice()
            assert bar._lit == ""
            assert isinstance(session.store.latest(1)[0].event, e.CastingBegun)
            assert TWICE in app.screen.last_said
