"""The tally screen's keys, on a real store."""

from __future__ import annotations

import datetime as dt
import threading
from contextlib import contextmanager, suppress

from textual.worker import WorkerFailed

from floorboard.cli.report_files import ReportFiles
from floorboard.screens.dialogs import AskChoice, AskValue
from floorboard.screens.floor_screen.floor_screen import FloorScreen
from floorboard.screens.sheet import Sheet
from floorboard.screens.tally_screen.tally_screen import TallyScreen
from tests.board_run import board, press, session_on, settled
from tests.tiny_shop import tiny_shop

ORDER = {"fair": {"name": "Spring fair", "piece": "bowl", "quantity": 3, "due": "2026-03-05"}}


def sheet_text(pilot):
    return "\n".join(line.text for line in pilot.app.screen.query_one(Sheet).lines)


def said(pilot):
    return str(pilot.app.screen.query_one("#said").render())


def title(pilot):
    return str(pilot.app.screen.query_one("#title").render())


async def typed(pilot, text):
    await pilot.press(*text, "enter")
    await settled(pilot)


async def test_the_days_counts_open_by_a_key_and_follow_the_log(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await press(pilot, "1", "enter", "t")
            assert isinstance(pilot.app.screen, TallyScreen)
            assert title(pilot).startswith("Tally: Monday 2 March 2026, as of 08:00")
            assert "1 begun" in sheet_text(pilot)
            session.confirm(session.press_for_mold("m2", "ben"))
            pilot.app.screen.follow()
            await settled(pilot)
            assert "2 begun" in sheet_text(pilot)
            await press(pilot, "escape")
            assert isinstance(pilot.app.screen, FloorScreen)


async def test_days_are_stepped_through_but_not_into_the_future(tmp_path):
    with session_on(tmp_path / "f.db") as (session, clock):
        async with board(session).run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await press(pilot, "1", "enter")
            clock.forward(24 * 3600)
            await press(pilot, "t", "plus")
            assert said(pilot) == "That is still to come."
            assert "0 begun" in sheet_text(pilot)
            await press(pilot, "minus")
            assert title(pilot) == "Tally: Monday 2 March 2026"
            assert "1 begun" in sheet_text(pilot)
            await press(pilot, "4")
            assert title(pilot).startswith("Tally: Thursday 1 January 2026 to Thursday 31 December")
            await press(pilot, "0")
            assert title(pilot).startswith("Tally: Tuesday 3 March 2026")


async def test_an_orders_castings_are_tallied_by_choice(tmp_path):
    with session_on(tmp_path / "f.db", tiny_shop(orders=ORDER)) as (session, _):
        async with board(session).run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await press(pilot, "t", "6")
            assert isinstance(pilot.app.screen, AskChoice)
            await press(pilot, "1")
            assert title(pilot).startswith("Tally: order Spring fair")
            await press(pilot, "minus")
            assert said(pilot).startswith("Only days, weeks, months and years")


async def test_a_range_is_asked_for_and_its_mistakes_said(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await press(pilot, "t", "7")
            await typed(pilot, "soon")
            problem = str(pilot.app.screen.query_one(".problem").render())
            assert problem == "Found 'soon'; type a date such as 2026-03-12."
            await press(pilot, *["backspace"] * 4)
            await typed(pilot, "2026-02-10")
            await typed(pilot, "2026-02-09")
            assert isinstance(pilot.app.screen, AskValue)
            assert "before 2026-02-10" in str(pilot.app.screen.query_one(".problem").render())
            await press(pilot, "backspace", "backspace")
            await typed(pilot, "12")
            assert pilot.app.screen.which.last == dt.date(2026, 2, 12)
            await press(pilot, "plus")
            assert pilot.app.screen.which.first == dt.date(2026, 2, 13)


async def test_long_work_says_how_far_it_is_and_is_stopped_by_a_key(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await press(pilot, "t")
            before = title(pilot)
            go_on = threading.Event()
            open_history = session.store.history

            @contextmanager
            def held_up():
                with open_history() as history:
                    assert go_on.wait(20)
                    yield history

            session.store.history = held_up
            await pilot.press("4")
            assert pilot.app.screen.taking
            await pilot.press("x")
            assert said(pilot) == "Stopped. What is shown is what was counted before."
            go_on.set()
            await settled(pilot)
            assert title(pilot) == before
            assert said(pilot).startswith("Stopped.")
            await press(pilot, "x")
            assert said(pilot) == "No tally is being taken."


async def test_progress_is_shown_part_by_part(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            told = []
            TallyScreen.on_tally_work_went, kept = (
                lambda screen, event: told.append(event.progress),
                TallyScreen.on_tally_work_went,
            )
            try:
                await press(pilot, "t")
            finally:
                TallyScreen.on_tally_work_went = kept
            parts = [progress.part for progress in told]
            assert parts == sorted(parts)
            assert told[0].words == "reading castings"
            assert (told[-1].words, told[-1].part) == ("counting", told[-1].parts)


async def test_a_report_is_saved_where_it_is_said_and_none_is_written_over(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        session.reports = ReportFiles(tmp_path)
        async with board(session).run_test(size=(200, 60)) as pilot:
            await settled(pilot)
            await press(pilot, "1", "enter", "t", "w", "1")
            path = tmp_path / "tally-2026-03-02.csv"
            assert said(pilot) == f"Written to {path.resolve()}"
            assert "2026-03-02,2026-03-02,counts,begun,castings,1" in path.read_text("utf-8-sig")
            await press(pilot, "w", "1")
            assert (tmp_path / "tally-2026-03-02-2.csv").exists()


async def test_a_folder_that_cannot_be_written_to_is_said(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        session.reports = ReportFiles(tmp_path / "nowhere")
        async with board(session).run_test(size=(200, 60)) as pilot:
            await settled(pilot)
            await press(pilot, "t", "w", "1")
            assert "cannot be written: No such file or directory" in said(pilot)


async def test_without_a_place_for_files_the_command_is_named(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await press(pilot, "t", "w")
            assert said(pilot) == "This board cannot write files. Use: floorboard tally --csv"


async def test_a_tally_that_fails_is_said_and_written_down_and_the_board_goes_on(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        app = board(session)
        stumbles = []
        app.stumbled = lambda doing, error: stumbles.append((doing, str(error)))
        async with app.run_test(size=(80, 24)) as pilot:
            await settled(pilot)

            def broken():
                raise ZeroDivisionError("a fault")

            session.store.history = broken
            await pilot.press("t")
            # Whether the wait sees the failure depends on which of them is first.
            with suppress(WorkerFailed):
                await settled(pilot)
            await pilot.pause()
            assert stumbles == [("taking the tally", "a fault")]
            assert said(pilot).startswith("Something went wrong taking the tally.")
            await pilot.press("escape")
            await pilot.pause()
            assert isinstance(pilot.app.screen, FloorScreen)
