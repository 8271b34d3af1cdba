"""The log screen's keys, on a real store."""

from __future__ import annotations

import threading

import pytest
from textual.widgets import Input

from floorboard.floor import events as e
from floorboard.screens.dialogs import AskChoice
from floorboard.screens.floor_screen.floor_screen import FloorScreen
from floorboard.screens.log_screen import log_screen
from floorboard.screens.sheet import Sheet
from floorboard.usecases import changes
from tests.board_run import board, press, session_on, settled


def listed(pilot):
    return [line.text for line in pilot.app.screen.query_one("#entries", Sheet).lines]


def whole(pilot):
    return " ".join(line.text for line in pilot.app.screen.query_one("#whole", Sheet).lines)


def said(pilot):
    return str(pilot.app.screen.query_one("#said").render())


async def answer_strike(pilot):
    """Answer that the entry is to be struck, and wait until it was."""
    await press(pilot, "2")
    await pilot.app.workers.wait_for_complete()
    await settled(pilot)


@pytest.fixture
def noted(tmp_path):
    """A log of twelve notes, "note 1" to "note 12", by Ana and Ben in turn, after the shop's."""
    with session_on(tmp_path / "f.db") as (session, clock):
        for number in range(1, 13):
            clock.forward(60)
            session.log("ana" if number % 2 else "ben", e.Noted(note=f"note {number}"))
        yield session, clock


async def test_the_newest_entry_is_at_the_top_and_shown_whole(noted):
    session, _ = noted
    async with board(session).run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await press(pilot, "l")
        assert listed(pilot)[0].startswith("02 Mar 08:12 Ben")
        assert "Mon 02 Mar 2026 08:12:00, Ben, at bench." in whole(pilot)
        await press(pilot, "down")
        assert "Ana" in whole(pilot)
        assert said(pilot) == "13 of the 13 entries there are."


async def test_the_list_holds_what_has_every_word_typed(noted):
    session, _ = noted
    async with board(session).run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await press(pilot, "l", "slash")
        await pilot.press(*"Ana", "space", *"NOTE")
        assert len(listed(pilot)) == 6
        await press(pilot, "enter", "down")
        assert not pilot.app.screen.query_one(Input).has_focus
        # First the search ends, then the screen.
        await press(pilot, "escape")
        assert len(listed(pilot)) == 13
        await press(pilot, "escape")
        assert isinstance(pilot.app.screen, FloorScreen)


async def test_older_entries_are_read_a_page_at_a_time(noted, monkeypatch):
    session, _ = noted
    monkeypatch.setattr(log_screen, "PAGE", 5)
    async with board(session).run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await press(pilot, "l")
        assert len(listed(pilot)) == 5
        await press(pilot, "o")
        assert len(listed(pilot)) == 10
        assert "O reads older ones" in said(pilot)
        await press(pilot, "o")
        assert said(pilot) == "13 of the 13 entries there are."
        await press(pilot, "o")
        assert said(pilot) == "That is the whole log."


async def test_looking_for_a_word_further_back_reads_on_until_it_is_found(noted, monkeypatch):
    session, _ = noted
    monkeypatch.setattr(log_screen, "PAGE", 3)
    async with board(session).run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await press(pilot, "l", "slash")
        await pilot.press(*"08:02", "enter")
        assert listed(pilot) == []
        await press(pilot, "o")
        assert len(listed(pilot)) == 1
        assert "note 2" in listed(pilot)[0]


async def test_an_entry_is_struck_only_after_asking_and_stays_readable(noted):
    session, _ = noted
    async with board(session).run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await press(pilot, "asterisk", "l", "down", "s")
        assert isinstance(pilot.app.screen, AskChoice)
        await press(pilot, "1")
        assert session.store.last_seq() == 13
        await press(pilot, "minus")
        await answer_strike(pilot)
        assert said(pilot) == "Entry 12 struck."
        struck = next(entry for entry in session.store.latest(5) if entry.seq == 12)
        assert struck.struck_by == 14
        assert session.store.latest(1)[0].person == "ben"
        assert any("struck: " in line and "note 11" in line for line in listed(pilot))


async def test_why_an_entry_cannot_be_struck_is_said(noted):
    session, _ = noted
    session.strike_last("ana")
    async with board(session).run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await press(pilot, "l", "s")
        assert said(pilot).startswith("A strike cannot be struck.")
        await press(pilot, "down", "s")
        assert said(pilot) == "Entry 13 is struck already, by entry 14."
        await press(pilot, *["down"] * 12, "s")
        assert said(pilot).startswith("A shop loaded cannot be struck.")


async def test_what_the_store_refuses_to_strike_is_said_in_its_words(noted):
    session, _ = noted
    async with board(session).run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await press(pilot, "l", "s")
        # Another station strikes it while the question stands.
        session.strike_last("ben")
        await answer_strike(pilot)
        assert "13" in said(pilot)
        assert "struck" in said(pilot)
        assert [entry.seq for entry in session.store.latest(1)] == [14]


async def test_while_an_entry_is_being_struck_the_screen_says_so_and_takes_other_keys(
    noted, monkeypatch
):
    session, _ = noted
    go_on, strike = threading.Event(), changes.strike

    def held_up(*given):
        go_on.wait(30)
        return strike(*given)

    monkeypatch.setattr(changes, "strike", held_up)
    async with board(session).run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await press(pilot, "l", "s", "2")
        assert said(pilot).startswith("Entry 13 is being struck")
        await press(pilot, "down")
        assert "note 11" in whole(pilot)
        await press(pilot, "s")
        assert said(pilot) == "Entry 13 is still being struck. Strike another after it."
        assert session.store.last_seq() == 13
        go_on.set()
        await pilot.app.workers.wait_for_complete()
        await settled(pilot)
        assert said(pilot) == "Entry 13 struck."
        assert session.floor.last_seq == session.store.last_seq() == 14


async def test_a_strike_that_went_wrong_is_said_and_can_be_tried_again(noted, monkeypatch):
    session, _ = noted
    strike = changes.strike

    def wrong(*_):
        monkeypatch.setattr(changes, "strike", strike)
        raise RuntimeError("no such thing")

    monkeypatch.setattr(changes, "strike", wrong)
    async with board(session).run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await press(pilot, "l", "s", "2")
        while pilot.app.screen._striking is not None:
            await pilot.pause()
        assert said(pilot) == "Something went wrong striking an entry."
        await press(pilot, "s")
        await answer_strike(pilot)
        assert said(pilot) == "Entry 13 struck."


async def test_an_entry_logged_late_says_when(noted):
    session, clock = noted
    clock.forward(600)
    press_ = session.press_for_mold("m1", "ana")
    session.confirm(press_, clock.now().replace(minute=15))
    async with board(session).run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await press(pilot, "l")
        assert "Logged at Mon 02 Mar 08:22:00." in whole(pilot)


async def test_an_entry_is_chosen_by_touch(noted):
    session, _ = noted
    async with board(session).run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await press(pilot, "l")
        await pilot.click("#entries", offset=(10, 3))
        assert "08:09:00" in whole(pilot)
