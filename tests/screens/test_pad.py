"""Everything typed can be typed by taps alone: no key of a keyboard is pressed in these flows."""

from __future__ import annotations

import pytest
from textual.widgets import Input, OptionList

from floorboard.floor import events as e
from floorboard.screens.app import BoardApp
from floorboard.screens.dialogs import AskValue
from floorboard.screens.key_bar import KeyBar, laid_out
from floorboard.screens.key_sheet import KeySheet
from floorboard.screens.pad import Pad, PadDock, Tap
from floorboard.screens.pad_keys import (
    KEY_ROWS,
    LEAST_KEY_CELLS,
    PadLegend,
    pad_rows,
    units_for,
)
from floorboard.screens.pad_keys import laid_out as keys_at
from floorboard.screens.setup_screen.guide_app import GuideApp
from floorboard.screens.ticket_screen.ticket_screen import TicketScreen
from tests.board_run import board, press, session_on, settled
from tests.screens.desk_run import desk_run

# What a tablet's browser shows of the board at the larger font, and the least size there is.
SIZES = [(73, 27), (60, 20)]


async def tap_pad(pilot, *labels: str) -> None:
    """Tap keys of the keypad by what stands on them."""
    for label in labels:
        pad = next(pad for pad in pilot.app.screen.query(Pad) if pad.display)
        for place, row in enumerate(pad.rows):
            for start, cells, key in keys_at(row, pad.size.width):
                if key.label == label:
                    at = (start + cells // 2, place * KEY_ROWS + 1)
                    assert await pilot.click(pad, offset=at), f"{label} is not on the screen"
                    break
            else:
                continue
            break
        else:
            raise AssertionError(f"no key {label!r} on {pad.page}")
        await pilot.pause()
        if isinstance(pilot.app, BoardApp):
            await settled(pilot)


async def tap_key(pilot, label: str) -> None:
    """Tap a key of the bar at the foot."""
    bar = pilot.app.screen.query_one(KeyBar)
    for start, item in laid_out(bar._items, bar.size.width):
        if item.label == label:
            await pilot.click(bar, offset=(start + 1, bar.size.height // 2))
            await settled(pilot)
            return
    raise AssertionError(f"no key {label!r} in the bar")


async def tap_line(pilot, text: str) -> None:
    """Tap a line of a list by a part of it, scrolled into view as a finger would."""
    options = pilot.app.screen.query_one(OptionList)
    for index in range(options.option_count):
        if text in str(options.get_option_at_index(index).prompt):
            options.scroll_to_highlight()
            options.highlighted = index
            await pilot.pause()
            y = options._index_to_line[index] - options.scroll_offset.y + 1
            await pilot.click(options, offset=(4, y))
            await settled(pilot)
            return
    raise AssertionError(f"no line {text!r}")


async def tap_sheet(pilot, label: str) -> None:
    """Tap a key on the key sheet."""
    await tap_key(pilot, "Keys")
    assert isinstance(pilot.app.screen, KeySheet)
    await tap_line(pilot, label)


async def with_casting(pilot) -> None:
    """Begin and ready a casting in mold 1, and choose the mold."""
    await press(pilot, "1", "enter", "1", "enter", "1")
    pilot.app.taps = True


@pytest.mark.parametrize("page", ["digits", "letters", "words"])
@pytest.mark.parametrize("width", [54, 56, 72, 116])
def test_every_key_is_large_enough_for_a_gloved_finger(page, width) -> None:
    legend = PadLegend(("g", "kg"), ("Thin wall", "Recoat window lost"))
    rows = pad_rows(page, legend)
    assert len(rows) == 4
    for row in rows:
        placed = keys_at(row, width)
        assert placed[-1][0] + placed[-1][1] == width
        for _, cells, key in placed:
            assert cells >= LEAST_KEY_CELLS
            assert len(key.label) <= cells


def test_every_letter_digit_and_mark_a_value_needs_is_on_some_page() -> None:
    legend = PadLegend(units_for("9 mm"))
    pages = [pad_rows("digits", legend), pad_rows("letters", legend)]
    pages.append(pad_rows("letters", legend, capitals=True))
    typed = {key.text for rows in pages for row in rows for key in row if key.does == "type"}
    wanted = set("0123456789.,- abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ")
    assert wanted <= typed
    assert {" mm", " cm", " in"} <= typed


@pytest.mark.parametrize(
    ("example", "some"),
    [("420 g", "kg"), ("21 C, 55 %, 18 C", "%"), ("7 min", "h"), ("1800 cm2", "m2")],
)
def test_the_units_offered_are_those_of_the_example(example: str, some: str) -> None:
    assert some in units_for(example)


@pytest.mark.parametrize("size", SIZES)
async def test_a_weight_is_typed_by_taps(tmp_path, size):
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=size) as pilot:
            await settled(pilot)
            await with_casting(pilot)
            await tap_sheet(pilot, "Weigh")
            await tap_pad(pilot, "4", "1", "5", "rub out", "2", ".", "5", "g", "Take")
            event = session.store.latest(1)[0].event
            assert isinstance(event, e.CastingWeighed)
            assert event.grams == 412.5


@pytest.mark.parametrize("size", SIZES)
async def test_a_wall_reading_with_its_point_is_typed_by_taps(tmp_path, size):
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=size) as pilot:
            await settled(pilot)
            await with_casting(pilot)
            await tap_sheet(pilot, "Wall")
            await tap_pad(pilot, "words", "rim", "0-9", "space", "9", "mm", "Take")
            event = session.store.latest(1)[0].event
            assert isinstance(event, e.WallRead)
            assert (event.point, event.millimetres) == ("rim", 9.0)


@pytest.mark.parametrize("size", SIZES)
async def test_a_casting_is_rejected_with_its_reason_by_taps(tmp_path, size):
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=size) as pilot:
            await settled(pilot)
            await with_casting(pilot)
            await tap_sheet(pilot, "Reject")
            await tap_line(pilot, list(session.shop.reasons.values())[-1].name)
            event = session.store.latest(1)[0].event
            assert isinstance(event, e.CastingRejected)
            assert event.reason == list(session.shop.reasons)[-1]


@pytest.mark.parametrize("size", SIZES)
async def test_a_note_is_made_of_quick_words_and_letters_by_taps(tmp_path, size):
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=size) as pilot:
            await settled(pilot)
            await with_casting(pilot)
            await tap_sheet(pilot, "Note")
            word = next(iter(session.shop.reasons.values())).name
            await tap_pad(pilot, word, "a-z", ",", "space", "ABC", "O", "k", "Take")
            event = session.store.latest(1)[0].event
            assert isinstance(event, e.Noted)
            assert event.note == f"{word}, Ok"


async def test_every_question_can_be_left_by_a_tap(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        app = board(session)
        async with app.run_test(size=(73, 27)) as pilot:
            await settled(pilot)
            await with_casting(pilot)
            before = session.floor.last_seq
            await tap_sheet(pilot, "Weigh")
            await tap_pad(pilot, "Leave")
            await tap_sheet(pilot, "Reject")
            await pilot.click(app.screen.query_one("#leave", Tap))
            await settled(pilot)
            assert len(app.screen_stack) == 2
            assert session.floor.last_seq == before


async def test_where_there_is_a_keyboard_a_tap_brings_the_keypad_up_and_it_stays(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        app = board(session)
        async with app.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await press(pilot, "1", "enter", "1", "enter", "1", "g")
            assert isinstance(app.screen, AskValue)
            assert not app.screen.query_one(Pad).display
            await pilot.click(app.screen.query_one("#pad"))
            await pilot.pause()
            await tap_pad(pilot, "4", "2", "0", "g", "Take")
            assert isinstance(session.store.latest(1)[0].event, e.CastingWeighed)
            await press(pilot, "1", "g")
            assert app.screen.query_one(Pad).display


async def test_what_is_wrong_with_a_tapped_value_is_said_and_it_stays(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        app = board(session)
        async with app.run_test(size=(60, 20)) as pilot:
            await settled(pilot)
            await with_casting(pilot)
            await tap_sheet(pilot, "Weigh")
            await tap_pad(pilot, "4", "Take")
            assert "expected a weight" in str(app.screen.query_one(".problem").render())
            assert app.screen.query_one(Input).value == "4"


async def test_a_quantity_is_changed_in_set_up_by_taps(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        app = board(session)
        async with app.run_test(size=(73, 27)) as pilot:
            await settled(pilot)
            app.taps = True
            await tap_sheet(pilot, "Set-up")
            sections = app.screen.query_one("#sections", OptionList)
            await pilot.click(sections, offset=(2, 4))
            await settled(pilot)
            entries = app.screen.query_one("#entries", OptionList)
            await pilot.click(entries, offset=(2, 0))
            await settled(pilot)
            demold = app.screen.query_one("#field-demold", Input)
            app.screen.query_one("#fields").scroll_to_widget(demold, animate=False)
            await pilot.pause()
            await pilot.click(demold)
            await pilot.pause()
            assert app.screen.query_one(PadDock).display
            for _ in range(len(demold.value)):
                await tap_pad(pilot, "rub out")
            await tap_pad(pilot, "9", "min")
            await tap_key(pilot, "Save")
            piece = next(iter(session.shop.pieces.values()))
            assert piece.demold.text == "9 min"


async def test_a_batch_is_weighed_on_the_ticket_by_taps(tmp_path):
    async with desk_run(tmp_path, "m1", size=(73, 27)) as run:
        run.app.taps = True
        await run.press("m")
        assert isinstance(run.app.screen, TicketScreen)
        run.ticket.gate.forget()
        await tap_key(run.pilot, "Confirm")
        assert run.ticket.desk.stage == "weigh"
        state = run.ticket.desk.in_hand.making.next_addition
        wanted = f"{state.more_grams:g}"
        await tap_key(run.pilot, "Weight")
        await tap_pad(run.pilot, *wanted, "Take")
        weighed = run.desk.store.latest(1)[0].event
        assert isinstance(weighed, e.MaterialWeighed)
        assert weighed.grams == pytest.approx(state.more_grams)


async def test_the_first_run_guide_is_answered_by_taps():
    app = GuideApp("Europe/Lisbon")
    async with app.run_test(size=(73, 27)) as pilot:
        bar = app.screen.query_one(KeyBar)
        for start, item in laid_out(bar._items, bar.size.width):
            if item.label == "Keypad":
                await pilot.click(bar, offset=(start + 1, 0))
        await pilot.pause()
        name = app.screen.query_one("#answer-shop", Input)
        for _ in range(len(name.value)):
            await tap_pad(pilot, "rub")
        await tap_pad(pilot, "ABC", "O", "w", "l", "s", "Next")
        assert name.value == "Owls"
        assert app.screen.focused.id == "answer-zone"
        await tap_pad(pilot, "Hide")
        assert not app.screen.query_one(PadDock).display
