"""Calls on the board: shown, rung, spoken, heard."""

from __future__ import annotations

import sys

from floorboard.floor import events as e
from floorboard.screens.app import BoardApp
from floorboard.screens.call_bar import CallBar, call_line
from floorboard.screens.call_desk import spoken
from floorboard.screens.calls import Call
from floorboard.screens.floor_screen.top_line import TopLine
from floorboard.screens.machine_watch import MachineWatch
from floorboard.screens.settings import BoardSettings
from floorboard.screens.speaker import LONGEST_SECONDS, Speaker
from tests.board_run import board, press, session_on, settled
from tests.tiny_shop import after, tiny_shop

CALL = Call("closing", "c1", "layer 1", 3, "window of layer 2 closing", after(10), "ana")


def test_the_line_has_shape_word_mold_count_and_clock_at_any_width() -> None:
    for width in (60, 80, 120, 200):
        line = call_line(CALL, after(6), "09:28:00 WET", width, ascii_only=False)
        assert len(line) == width
        for part in ("▲", "CLOSING", "Mold 3", "4:00", "09:28:00 WET"):
            assert part in line
    assert call_line(CALL, after(6), "x", 80, ascii_only=True).isascii()


def test_what_is_spoken_never_looks_like_an_option() -> None:
    odd = Call("due", "c1", "step 0", None, "--rm -rf", after(1))
    assert spoken(CALL) == "Mold 3: window of layer 2 closing."
    assert not spoken(odd).startswith("-")


class BellBoard(BoardApp):
    """A board whose bell is counted."""

    rung = 0

    def bell(self) -> None:
        self.rung += 1


async def lost_window(session, clock, pilot):
    """Bring mold 1 to a second layer whose window is lost."""
    await settled(pilot)
    for minutes in (0, 5, 0, 2, 1, 5):
        clock.forward(minutes * 60)
        await press(pilot, "1", "enter")
    clock.forward(40.5 * 60)
    pilot.app.look_round()
    await settled(pilot)


async def test_a_call_takes_the_place_of_the_top_line_until_it_is_heard(tmp_path):
    with session_on(tmp_path / "f.db") as (session, clock):
        app = BellBoard(session)
        async with app.run_test(size=(80, 24)) as pilot:
            await lost_window(session, clock, pilot)
            call = app.desk.call
            assert call is not None
            assert (call.kind, call.mold) == ("window lost", 1)
            assert app.screen.query_one(CallBar).display
            assert not app.screen.query_one(TopLine).display
            assert app.rung >= 1
            board_at = app.screen.query_one("#board").region
            await press(pilot, "space")
            assert app.desk.call != call
            while app.desk.call is not None:
                await press(pilot, "space")
            assert app.screen.query_one(TopLine).display
            assert app.screen.query_one("#board").region == board_at


async def test_a_tap_on_the_call_is_as_good_as_the_key(tmp_path):
    with session_on(tmp_path / "f.db") as (session, clock):
        app = board(session)
        async with app.run_test(size=(80, 24)) as pilot:
            await lost_window(session, clock, pilot)
            call = app.desk.call
            await pilot.click(CallBar, offset=(10, 0))
            await settled(pilot)
            assert app.desk.call != call


async def test_quiet_hours_show_the_call_without_a_sound(tmp_path):
    quiet = [{"days": "mon-sun", "start": "08:00", "end": "17:00"}]
    shop = tiny_shop(shop={"name": "Tiny", "zone": "UTC", "quiet": quiet})
    with session_on(tmp_path / "f.db", shop) as (session, clock):
        app = BellBoard(session)
        async with app.run_test(size=(80, 24)) as pilot:
            await lost_window(session, clock, pilot)
            assert app.desk.call is not None
            assert app.rung == 0


async def test_hearing_nothing_says_so(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        app = board(session)
        async with app.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            app.desk.call = None
            app.action_heard()
            assert app.screen.last_said == "Nothing is calling."


async def test_a_clock_that_is_set_is_warned_of_until_it_is_heard(tmp_path):
    with session_on(tmp_path / "f.db") as (session, clock):
        app = board(session)
        async with app.run_test(size=(120, 40)) as pilot:
            await settled(pilot)
            steady = [0.0]
            app.machine = MachineWatch(clock, lambda: steady[0])
            clock.forward(3601)
            steady[0] = 1.0
            app.look_round()
            assert "set forward by 60 min" in app.warning_text
            app.action_heard()
            assert app.warning_text == ""


async def test_an_entry_ahead_of_the_clock_is_warned_of(tmp_path):
    with session_on(tmp_path / "f.db") as (session, clock):
        app = board(session)
        async with app.run_test(size=(120, 40)) as pilot:
            await settled(pilot)
            session.log("ana", e.Noted(note="later"))
            clock.forward(-1200)
            app.look_round()
            assert "20 min ahead" in app.warning_text


def test_a_command_speaks_the_text_as_its_last_argument(tmp_path):
    heard = tmp_path / "heard"
    program = f"import sys, pathlib; pathlib.Path({str(heard)!r}).write_text(sys.argv[-1])"
    speaker = Speaker([sys.executable, "-c", program])
    speaker.say("Mold 3: demold; $(rm x)", 0.0)
    speaker._running.wait(timeout=30)
    assert heard.read_text() == "Mold 3: demold; $(rm x)"


def test_one_text_is_spoken_at_a_time_and_a_stuck_command_is_ended():
    speaker = Speaker([sys.executable, "-c", "import time; time.sleep(600)"])
    speaker.say("one", 0.0)
    first = speaker._running
    speaker.say("two", 1.0)
    assert speaker._running is first
    speaker.say("three", LONGEST_SECONDS + 1)
    assert speaker._running is not first
    assert first.poll() is not None
    second = speaker._running
    speaker.close()
    assert second.poll() is not None


def test_a_command_that_does_not_start_is_told_and_harms_nothing():
    speaker = Speaker(["/nowhere/there-is-no-such-program"])
    speaker.say("one", 0.0)
    assert speaker.problem.startswith("The call command does not start")


async def test_the_boards_command_is_run_when_a_call_rings(tmp_path):
    heard = tmp_path / "heard"
    program = f"import sys, pathlib; pathlib.Path({str(heard)!r}).write_text(sys.argv[-1])"
    settings = BoardSettings(call_command=(sys.executable, "-c", program))
    with session_on(tmp_path / "f.db") as (session, clock):
        app = BoardApp(session, settings=settings)
        async with app.run_test(size=(80, 24)) as pilot:
            await lost_window(session, clock, pilot)
            if app.speaker._running is not None:
                app.speaker._running.wait(timeout=30)
            assert heard.read_text().startswith("Mold ")
