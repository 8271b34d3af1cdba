"""The first look: painted before the board is there, true, and in nobody's way."""

from __future__ import annotations

import datetime as dt
from functools import partial
from typing import TYPE_CHECKING

import pytest

from floorboard.cli.board import _demo_session
from floorboard.cli.look_ahead import LookAhead, look_at_database
from floorboard.screens.app import BoardApp
from floorboard.screens.first_look import FirstLook, Opening, first_look
from floorboard.screens.floor_screen.floor_screen import FloorScreen
from floorboard.screens.floor_screen.floor_view import mold_rows
from floorboard.screens.floor_screen.next_view import panel_facts
from floorboard.screens.floor_screen.opening_screen import OpeningScreen
from floorboard.shop.errors import StoreError
from floorboard.store.sqlite_store import open_store
from tests.board_run import session_on
from tests.tiny_shop import START, tiny_shop

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from floorboard.usecases.session import Session


PLACES = ("#top", "#panels", "#board", "#foot", "#status", "KeyBar")


@pytest.fixture
def session(tmp_path: Path) -> Iterator[Session]:
    with session_on(tmp_path / "floor.db") as (session, _):
        yield session


def look_at(session: Session) -> FirstLook:
    return first_look(session.shop, session.floor, session.now)


async def test_the_molds_are_on_the_screen_before_the_session_is_opened(session):
    seen: list[list[str]] = []
    places: list[object] = []

    def opened() -> Session:
        screen = app.screen
        assert isinstance(screen, OpeningScreen)
        assert screen.drawn
        seen.append([row.mold for row in screen.query_one("#board").rows])
        places.append([screen.query_one(place).region for place in PLACES])
        return session

    app = BoardApp(Opening(look_at(session), opened))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert isinstance(app.screen, FloorScreen)
        assert places == [[app.screen.query_one(place).region for place in PLACES]]
        assert seen == [[row.mold for row in app.screen.query_one("#board").rows]]


async def test_a_key_pressed_during_the_first_look_is_carried_out_after_it(session):
    app = BoardApp(Opening(look_at(session), lambda: session))
    app.post_display_hook = lambda: None
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("1")
        await pilot.press("enter")
        assert session.floor.last_seq == 1
        app._open()
        await pilot.pause()
        await pilot.pause()
        assert [entry.event.kind for entry in session.store.latest(2)] == [
            "casting begun",
            "shop loaded",
        ]


async def test_what_keeps_the_session_from_opening_ends_the_board_and_is_told(session):
    def refused() -> Session:
        raise StoreError("It is held.")

    app = BoardApp(Opening(look_at(session), refused))
    with pytest.raises(StoreError, match="It is held"):
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
    assert isinstance(app.fault, StoreError)
    assert not app.has_session


def test_a_look_taken_beside_shows_what_the_floor_itself_would(tmp_path):
    path = tmp_path / "floor.db"
    with open_store(path) as store:
        store.load_shop(tiny_shop(), source="test", at=START, person=None, station="bench")
        shop, floor = store.shop(), store.floor()
    before = dt.datetime.now(dt.UTC)
    look = LookAhead(partial(look_at_database, str(path))).take()
    assert look is not None
    assert look.shop == shop.shop.name
    assert look.rows == tuple(mold_rows(shop, floor, None, look.at))
    assert before <= look.at <= dt.datetime.now(dt.UTC)


def test_where_there_is_nothing_to_see_there_is_no_look(tmp_path):
    path = tmp_path / "floor.db"
    open_store(path).close()
    assert LookAhead(partial(look_at_database, str(path))).take() is None
    (tmp_path / "other.db").write_text("no database at all, by its first bytes")
    assert LookAhead(partial(look_at_database, str(tmp_path / "other.db"))).take() is None


def test_a_fault_while_looking_is_written_down_and_the_board_opens_the_plain_way(
    tmp_path, monkeypatch
):
    monkeypatch.setattr("floorboard.cli.run_board.fault_file", lambda: tmp_path / "faults.log")

    def look():
        raise ValueError("a fault nobody foresaw")

    assert LookAhead(look).take() is None
    written = (tmp_path / "faults.log").read_text()
    assert "while taking a first look:" in written
    assert "ValueError: a fault nobody foresaw" in written


def test_a_demo_whose_look_failed_half_way_is_made_anew(tmp_path):
    path = tmp_path / "demo.db"
    with open_store(path) as store:
        store.load_shop(tiny_shop(), source="test", at=START, person=None, station="bench")
    session = _demo_session(path, None, 1.0)
    assert session.shop.shop.name != tiny_shop().shop.name
    assert session.floor.castings
    session.store.close()


def test_before_the_first_plan_a_panel_says_that_it_is_being_drawn_up(session):
    person = next(iter(session.shop.people))
    facts = panel_facts(session.shop, session.floor, session.plan, person, None)
    assert facts.at(session.now).title == "The plan is being drawn up"
    plan = session.replan().model_copy(update={"tasks": ()})
    facts = panel_facts(session.shop, session.floor, plan, person, None)
    assert facts.at(session.now).title == "Nothing to do now"
