"""The key table, the guard before it, the key bar and the key sheet."""

from __future__ import annotations

import pytest
from textual import events
from textual.geometry import Offset

from floorboard.screens.actions import ACTIONS
from floorboard.screens.app import BoardApp
from floorboard.screens.dialogs import AskChoice, AskValue
from floorboard.screens.digits import DIGIT_SECONDS, DigitReader
from floorboard.screens.floor_screen.floor_screen import FloorScreen
from floorboard.screens.key_bar import KeyBar, floor_items, laid_out
from floorboard.screens.key_guard import READ_FIRST, TOO_FAST, KeyGuard
from floorboard.screens.key_sheet import KeySheet, live_keys
from floorboard.screens.settings import (
    BadSetting,
    BoardSettings,
    read_call_command,
    read_confirm_key,
)
from floorboard.screens.views import VIEWS
from tests.board_run import board, press, session_on, settled

# Keys that some terminals or multiplexers keep for themselves or send as another.
FORBIDDEN = ("ctrl+", "alt+", "f11", "meta+", "shift+")


def test_no_key_means_two_things_on_the_floor() -> None:
    keys = [key for action in ACTIONS for key in action.keys.split(",")]
    keys += [key for view in VIEWS for key in view.keys.split(",")]
    assert len(keys) == len(set(keys))


def test_no_key_needs_a_chord_or_is_lost_in_some_terminal() -> None:
    keys = [key for action in ACTIONS for key in action.keys.split(",")]
    assert not [key for key in keys if key.startswith(FORBIDDEN)]


def test_the_whole_plain_day_is_on_the_numeric_keypad() -> None:
    keypad = {"enter", "minus", "plus", "asterisk", "slash", "full_stop"}
    keys = {key for action in ACTIONS for key in action.keys.split(",")}
    keys |= {key for view in VIEWS for key in view.keys.split(",")}
    assert keypad <= keys


def test_every_action_that_logs_at_once_is_one_press_within_a_blink() -> None:
    logging = {
        "confirm",
        "begin",
        "strike",
        "set_aside",
        "skip",
        "lose_batch",
        "mold_service",
        "away",
        "care",
    }
    assert {action.name for action in ACTIONS if action.touch == "once"} == logging


# --- digits ----------------------------------------------------------------------------------


def test_digits_typed_in_a_row_are_one_number() -> None:
    reader = DigitReader()
    assert [reader.typed("1", 0.0), reader.typed("2", DIGIT_SECONDS)] == [1, 12]
    assert reader.typed("3", 2 * DIGIT_SECONDS + 0.1) == 3


def test_a_number_of_more_than_four_digits_keeps_the_last_four() -> None:
    reader = DigitReader()
    assert [reader.typed(digit, 0.0) for digit in "26031"][-1] == 6031


async def test_a_number_that_no_mold_has_lets_go_of_the_mold_of_its_first_digit(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await pilot.press("1", "9")
            assert pilot.app.screen.chosen is None


# --- the guard -------------------------------------------------------------------------------


class Typist:
    """Sends keys through a board's guard with moments of its own."""

    def __init__(self, app: BoardApp) -> None:
        app.guard = KeyGuard(app)
        self.app = app
        self.at = 1000.0

    async def type(self, text: str, each: float) -> None:
        names = {"\r": "enter", "-": "minus", " ": "space"}
        for character in text:
            self.at += each
            event = events.Key(names.get(character, character), character)
            event.time = self.at
            await self.app.on_event(event)

    async def rest(self, seconds: float = 1.0) -> None:
        self.at += seconds
        await self.app.guard._settle(self.at)


@pytest.mark.parametrize("label", ["260302-01", "2"])
async def test_a_scanned_label_chooses_and_logs_nothing(tmp_path, label):
    with session_on(tmp_path / "f.db") as (session, _):
        app = board(session)
        async with app.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await press(pilot, "2", "enter")
            before = session.floor.last_seq
            typist = Typist(app)
            await typist.type(f"{label}\r", 0.01)
            await typist.rest()
            await settled(pilot)
            assert app.screen.chosen == "m2"
            assert session.floor.last_seq == before


@pytest.mark.parametrize(
    "garbage", ["rrr", "-----", "b-2\r", "q\r", "\r\r\r", "\x1b", "3r1\r", "kvux"]
)
async def test_garbage_logs_nothing_opens_nothing_and_leaves_the_choice(tmp_path, garbage):
    with session_on(tmp_path / "f.db") as (session, _):
        app = board(session)
        async with app.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await press(pilot, "1", "enter", "1")
            before = session.floor.last_seq
            typist = Typist(app)
            await typist.rest()
            await typist.type(garbage, 0.004)
            await typist.rest()
            await settled(pilot)
            assert isinstance(app.screen, FloorScreen)
            assert session.floor.last_seq == before


async def test_a_paste_of_ten_thousand_characters_logs_nothing(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        app = board(session)
        async with app.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            typist = Typist(app)
            await typist.type("1\r-rb2k" * 1429, 0.0)
            await typist.rest()
            app.post_message(events.Paste("enter\r" * 2000))
            await settled(pilot)
            assert isinstance(app.screen, FloorScreen)
            assert session.floor.last_seq == 1


async def test_a_hands_enter_is_carried_out_after_the_gap_and_once(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        app = board(session)
        async with app.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            typist = Typist(app)
            await typist.type("1", 1.0)
            await typist.type("\r", 0.3)
            await settled(pilot)
            assert session.floor.last_seq == 1
            await typist.rest(0.06)
            await settled(pilot)
            assert session.floor.casting_in("m1") is not None
            await typist.type("\r" * 30, 0.033)
            await typist.rest()
            await settled(pilot)
            assert session.floor.last_seq == 2


async def test_a_scan_into_a_question_answers_nothing(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        app = board(session)
        async with app.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await press(pilot, "1", "enter", "1", "r")
            assert isinstance(app.screen, AskChoice)
            before = session.floor.last_seq
            typist = Typist(app)
            await typist.type("260302-01\r", 0.01)
            await typist.rest()
            await settled(pilot)
            assert isinstance(app.screen, AskChoice)
            assert session.floor.last_seq == before


async def test_a_scan_into_a_field_is_typed_but_not_taken(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        app = board(session)
        async with app.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await press(pilot, "1", "n")
            assert isinstance(app.screen, AskValue)
            typist = Typist(app)
            await typist.type("260302-01\r", 0.01)
            await typist.rest()
            await settled(pilot)
            assert isinstance(app.screen, AskValue)
            assert session.floor.last_seq == 1
            assert [note.message for note in app._notifications] == [READ_FIRST]
            await typist.type("\r", 1.0)
            await typist.rest()
            await settled(pilot)
            assert session.store.latest(1)[0].event.note == "260302-01"


async def test_a_fist_is_told_to_press_again(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        app = board(session)
        async with app.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            typist = Typist(app)
            await typist.type("wra", 0.003)
            await typist.rest()
            assert app.screen.last_said == TOO_FAST


# --- key bar and key sheet -------------------------------------------------------------------


@pytest.mark.parametrize("width", [40, 60, 80, 120, 200])
def test_the_key_bar_shows_whole_keys_only_and_always_the_way_to_all(width: int) -> None:
    placed = laid_out(floor_items(), width)
    assert placed[-1][1].action == "key_sheet"
    assert placed[-1][0] + placed[-1][1].cells <= width
    assert placed[0][1].action == "confirm"


async def test_a_tap_on_the_key_bar_presses_the_key(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        app = board(session)
        async with app.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await press(pilot, "2")
            at = {item.action: start for start, item in laid_out(floor_items(), 80)}
            await pilot.click(KeyBar, offset=(at["confirm"] + 2, 0))
            await settled(pilot)
            assert session.floor.casting_in("m2") is not None
            await pilot.click(KeyBar, offset=(at["key_sheet"] + 1, 0))
            await settled(pilot)
            assert isinstance(app.screen, KeySheet)


async def test_the_key_sheet_has_every_action_of_the_table_and_every_view(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        app = board(session)
        async with app.run_test(size=(120, 40)) as pilot:
            await settled(pilot)
            listed = {key.action for key in live_keys(app.screen.active_bindings)}
            assert {action.name for action in ACTIONS} <= listed
            assert {f"open_view('{view.name}')" for view in VIEWS} <= listed


@pytest.mark.parametrize("size", [(60, 20), (120, 40)])
async def test_a_line_of_the_key_sheet_can_be_tapped(tmp_path, size):
    with session_on(tmp_path / "f.db") as (session, _):
        app = board(session)
        async with app.run_test(size=size) as pilot:
            await settled(pilot)
            await press(pilot, "3", "question_mark")
            await pilot.click("KeySheet OptionList", offset=Offset(4, 0))
            await settled(pilot)
            assert isinstance(app.screen, FloorScreen)
            assert session.floor.casting_in("m3") is not None


async def test_a_key_pressed_on_the_key_sheet_is_pressed_on_the_floor(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        app = board(session)
        async with app.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await press(pilot, "question_mark", "e")
            assert isinstance(app.screen, AskValue)


async def test_a_pedal_key_confirms_besides_enter(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        app = BoardApp(session, settings=BoardSettings(confirm_key="f13"))
        async with app.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await press(pilot, "1", "f13")
            assert session.floor.casting_in("m1") is not None
            await press(pilot, "2", "enter")
            assert session.floor.casting_in("m2") is not None


@pytest.mark.parametrize(
    ("typed", "key"), [("", None), ("Enter", None), ("F13", "f13"), (" space ", "space")]
)
def test_a_confirm_key_is_read(typed: str, key: str | None) -> None:
    assert read_confirm_key(typed) == key


@pytest.mark.parametrize("typed", ["r", "minus", "ctrl+c", "5", "escape", "f99x"])
def test_a_confirm_key_that_would_do_harm_is_refused(typed: str) -> None:
    with pytest.raises(BadSetting, match="confirm key"):
        read_confirm_key(typed)


def test_a_call_command_is_split_but_never_given_to_a_shell() -> None:
    assert read_call_command("say --slow 'in the shop'; rm x") == (
        "say",
        "--slow",
        "in the shop;",
        "rm",
        "x",
    )
    with pytest.raises(BadSetting, match="quotation mark"):
        read_call_command("say 'oh")
