"""The far view: what it shows, in which size, and that the keypad works it."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rich.cells import cell_len

from floorboard.floor import events as e
from floorboard.planning.plan import PlannedTask, empty_plan
from floorboard.screens import confirm_gate
from floorboard.screens.block_digits import block_rows, block_width
from floorboard.screens.far_screen.far_picture import far_rows
from floorboard.screens.far_screen.far_screen import FarScreen
from floorboard.screens.far_screen.far_view import FarItem, far_items
from floorboard.screens.floor_screen.floor_screen import FloorScreen
from tests.board_run import board, session_on, settled
from tests.log_of import batch, floor_of, to_demold, to_first_layer
from tests.screens.test_calls import plan_of, second_layer_at
from tests.tiny_shop import START, after, tiny_shop

SHOP = tiny_shop()
NO_PLAN = empty_plan(START, START, 0)
SIZES = [(60, 20), (80, 24), (120, 40), (200, 60)]


def shown(floor, plan, minutes, **chosen) -> list[FarItem]:
    return far_items(SHOP, floor, plan, after(minutes), **chosen)


def test_the_planned_weighing_comes_with_the_time_to_its_start() -> None:
    (item,) = shown(floor_of(*to_first_layer()), second_layer_at(31), 29)
    assert (item.verb, item.molds, item.who) == ("WEIGH", "1", "Ben")
    assert (item.seconds, item.counts, item.state) == (120, "starts in", "soon")
    assert item.press.kind == "begin batch"


def test_a_closing_window_counts_before_a_start_that_is_late() -> None:
    (item,) = shown(floor_of(*to_first_layer()), second_layer_at(40), 46)
    assert (item.seconds, item.counts, item.state) == (7 * 60, "window closes in", "closing")


def test_a_wet_batch_in_hand_counts_its_working_time() -> None:
    floor = floor_of(
        *to_first_layer(), (25, batch("b2", ("c1", 1))), (27, e.BatchWetted(batch="b2"))
    )
    (item,) = shown(floor, NO_PLAN, 30)
    assert (item.verb, item.seconds, item.counts) == ("POUR", 9 * 60, "working time left")
    assert item.press.kind == "begin layer"


def test_without_a_plan_the_most_urgent_mold_is_shown() -> None:
    (item,) = shown(floor_of(*to_first_layer()), NO_PLAN, 20)
    assert (item.verb, item.molds, item.seconds) == ("WEIGH", "1", 8 * 60)


def test_an_idle_shop_shows_nothing() -> None:
    assert shown(floor_of(), NO_PLAN, 0) == []


def test_a_chosen_mold_goes_before_the_plan() -> None:
    items = shown(floor_of(*to_first_layer()), second_layer_at(31), 29, chosen="m2")
    assert [(item.verb, item.molds) for item in items] == [("READY", "2"), ("WEIGH", "1")]


def test_a_session_of_several_castings_says_how_many() -> None:
    lines = [*to_demold("c1", "m1"), *[(m + 100, ev) for m, ev in to_demold("c2", "m2")]]
    plan = plan_of(
        PlannedTask(
            kind="step",
            person="ana",
            start=after(300),
            end=after(310),
            castings=("c1", "c2"),
            index=0,
        )
    )
    (item,) = shown(floor_of(*lines), plan, 299)
    assert (item.verb, item.molds) == ("TRIM", "2")


def test_only_one_persons_actions_are_shown_when_asked() -> None:
    floor, plan = floor_of(*to_first_layer()), second_layer_at(31)
    assert [i.who for i in shown(floor, plan, 29, person="ben")] == ["Ben"]
    assert [i.who for i in shown(floor, plan, 29, person="ana")] == ["Ana"]


def item_of(minutes: float) -> FarItem:
    (item,) = shown(floor_of(*to_first_layer()), second_layer_at(31), minutes)
    return item


@pytest.mark.parametrize(("width", "height"), SIZES)
def test_the_countdown_fills_the_width_and_every_row_fits(width: int, height: int) -> None:
    item = item_of(20.5)
    rows = far_rows([item, item, item], width, height)
    assert len(rows) == height
    assert {cell_len(row.text) for row in rows} == {width}
    digits = [row.text for row in rows if row.part == "count"]
    inked = max(len(row.rstrip()) for row in digits) - min(
        len(row) - len(row.lstrip()) for row in digits if row.strip()
    )
    assert inked >= 0.85 * width
    assert [row.part for row in rows].count("next") == 2


@settings(max_examples=80, deadline=None)
@given(
    st.integers(20, 210), st.integers(6, 70), st.floats(14, 52), st.booleans(), st.text(max_size=50)
)
def test_the_far_view_fits_any_screen(
    width: int, height: int, minutes: float, ascii_only: bool, said: str
) -> None:
    item = item_of(minutes)
    said = "".join(c for c in said if c.isprintable())
    rows = far_rows([item] * 3, width, height, said=said, ascii_only=ascii_only)
    assert len(rows) == height
    assert {cell_len(row.text) for row in rows} == {width}
    if ascii_only and not said:
        assert all(row.text.replace("…", "").isascii() for row in rows)


def test_a_narrow_screen_says_the_countdown_in_plain_text_rather_than_cut() -> None:
    rows = far_rows([item_of(20.5)], 14, 12)
    assert any(row.text.strip() == "10:30" for row in rows)


def test_spread_blocks_keep_their_characters() -> None:
    plain, wide = block_rows("12:34", 2), block_rows("12:34", 2, width=40)
    assert len(plain[0]) == block_width("12:34", 2)
    assert len(wide[0]) == 40
    assert [row.replace(" ", "") for row in plain] == [row.replace(" ", "") for row in wide]


@pytest.fixture
def _no_second_look(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the confirm key act at once on what has only just come to fill the screen."""
    monkeypatch.setattr(confirm_gate, "LOOK_AGAIN_SECONDS", 0.0)


@pytest.mark.usefixtures("_no_second_look")
async def test_enter_logs_what_fills_the_screen_and_minus_strikes_it(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        app = board(session)
        async with app.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await pilot.press("slash")
            await settled(pilot)
            screen = app.screen
            assert isinstance(screen, FarScreen)
            (first, *_) = screen._items
            await pilot.press("enter")
            await settled(pilot)
            casting = session.floor.casting_in(first.press.mold)
            assert casting is not None
            assert session.store.latest(1)[0].person == first.press.person
            await pilot.press("minus")
            await settled(pilot)
            assert session.floor.casting_in(first.press.mold) is None


async def test_what_has_only_just_come_to_fill_the_screen_is_not_logged(tmp_path, monkeypatch):
    monkeypatch.setattr(confirm_gate, "LOOK_AGAIN_SECONDS", 600.0)
    with session_on(tmp_path / "f.db") as (session, _):
        app = board(session)
        async with app.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await pilot.press("slash", "enter")
            await settled(pilot)
            assert session.floor.last_seq == 1
            assert "Look again" in app.screen.last_said


@pytest.mark.usefixtures("_no_second_look")
async def test_a_number_chooses_and_point_lets_go_then_goes_back(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        app = board(session)
        async with app.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await pilot.press("slash", "3")
            assert app.screen._items[0].press.mold == "m3"
            await pilot.press("full_stop")
            assert isinstance(app.screen, FarScreen)
            assert app.screen.chosen is None
            await pilot.press("full_stop")
            assert isinstance(app.screen, FloorScreen)


@pytest.mark.parametrize("key", ["escape", "slash", "z", "f5", "left"])
async def test_any_other_key_goes_back_to_the_board(tmp_path, key):
    with session_on(tmp_path / "f.db") as (session, _):
        app = board(session)
        async with app.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await pilot.press("slash", key)
            await settled(pilot)
            assert isinstance(app.screen, FloorScreen)
            assert session.floor.last_seq == 1


async def test_the_far_view_comes_on_when_nobody_keys_anything_and_a_tap_goes_back(tmp_path):
    shop = tiny_shop(shop={"name": "Tiny", "zone": "UTC", "far_view_after": "2 min"})
    with session_on(tmp_path / "f.db", shop) as (session, _):
        app = board(session)
        async with app.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            app.last_input_at -= 60
            app.look_round()
            await settled(pilot)
            assert isinstance(app.screen, FloorScreen)
            app.last_input_at -= 60
            app.look_round()
            await settled(pilot)
            assert isinstance(app.screen, FarScreen)
            await pilot.click(offset=(10, 10))
            assert isinstance(app.screen, FloorScreen)


async def test_the_far_view_does_not_come_over_a_question(tmp_path):
    shop = tiny_shop(shop={"name": "Tiny", "zone": "UTC", "far_view_after": "1 s"})
    with session_on(tmp_path / "f.db", shop) as (session, _):
        app = board(session)
        async with app.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await pilot.press("e")
            question = app.screen
            app.last_input_at -= 60
            app.look_round()
            await settled(pilot)
            assert app.screen is question
