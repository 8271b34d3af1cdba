"""The finishing screen's keys, on a real store with the real planner."""

from __future__ import annotations

import pytest

from floorboard.floor import events as e
from floorboard.screens.dialogs import AskChoice, AskSeveral
from floorboard.screens.finishing_screen.finishing_screen import FinishingScreen
from floorboard.screens.floor_screen.floor_screen import FloorScreen
from floorboard.screens.key_guard import LabelScanned
from floorboard.screens.sheet import Sheet
from floorboard.shop.build import build_of
from tests.board_run import board, press, session_on, settled
from tests.tiny_shop import tiny_shop


def demold_some(session, clock, count=2):
    """Log castings c1, c2, ... begun and demolded, and two hours gone by."""
    digest = session.store.keep_build(build_of(session.shop, "bowl"))
    for number in range(1, count + 1):
        serial, mold = f"c{number}", f"m{number}"
        session.log("ana", e.CastingBegun(casting=serial, mold=mold, piece="bowl", build=digest))
        session.log("ana", e.Demolded(casting=serial))
    clock.forward(600)


def latest(session):
    return session.store.latest(1)[0].event


def said(pilot):
    return str(pilot.app.screen.query_one("#said").render())


def title(pilot):
    return str(pilot.app.screen.query_one("#title").render())


@pytest.fixture
def floor_with(tmp_path):
    with session_on(tmp_path / "f.db") as (session, clock):
        demold_some(session, clock)
        yield session, clock


async def test_a_casting_is_taken_along_its_route_by_the_confirm_key(floor_with):
    session, clock = floor_with
    async with board(session).run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await press(pilot, "f")
        assert isinstance(pilot.app.screen, FinishingScreen)
        assert title(pilot).startswith("Finishing and drying: 2 castings. Confirm is Ana's.")
        await press(pilot, "enter")
        assert latest(session) == e.StepBegun(castings=("c1",), step=0)
        clock.forward(240)
        await press(pilot, "enter")
        assert latest(session) == e.StepDone(castings=("c1",), step=0)
        await press(pilot, "minus")
        assert said(pilot).startswith("Struck: ")
        await press(pilot, "escape")
        assert isinstance(pilot.app.screen, FloorScreen)


async def test_several_castings_are_marked_and_done_together(floor_with):
    session, clock = floor_with
    session.log("ana", e.StepDone(castings=("c1", "c2"), step=0))
    clock.forward(3 * 3600)
    async with board(session).run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        await press(pilot, "f", "plus")
        assert said(pilot) == "2 castings marked; Enter begins them together."
        await press(pilot, "enter")
        assert latest(session) == e.StepBegun(castings=("c1", "c2"), step=2)
        assert pilot.app.screen.marked == set()
        await press(pilot, "enter")
        assert latest(session) == e.StepDone(castings=("c1", "c2"), step=2)


async def test_what_is_not_dry_is_begun_only_after_asking(floor_with):
    session, _ = floor_with
    session.log("ana", e.StepDone(castings=("c1", "c2"), step=0))
    async with board(session).run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        before = session.store.last_seq()
        await press(pilot, "f", "enter")
        assert isinstance(pilot.app.screen, AskChoice)
        await press(pilot, "1")
        assert session.store.last_seq() == before
        await press(pilot, "enter", "2")
        assert latest(session) == e.StepBegun(castings=("c1",), step=2)


async def test_defects_are_marked_with_the_layer_they_came_from(floor_with):
    session, _ = floor_with
    async with board(session).run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await press(pilot, "f", "i")
        assert isinstance(pilot.app.screen, AskSeveral)
        await press(pilot, "2", "4", "4", "1", "enter")
        assert isinstance(pilot.app.screen, AskChoice)
        await press(pilot, "3")
        assert latest(session) == e.CastingInspected(
            casting="c1", passed=False, defects=("void", "thin-wall"), layer=1
        )
        assert said(pilot) == "Seen in c1: void, thin wall. R scraps it, W sends it back."


async def test_a_casting_without_defects_passes_and_esc_logs_nothing(floor_with):
    session, _ = floor_with
    async with board(session).run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        before = session.store.last_seq()
        await press(pilot, "f", "i", "1", "escape")
        assert session.store.last_seq() == before
        await press(pilot, "i", "enter")
        assert latest(session) == e.CastingInspected(casting="c1", passed=True)


async def test_passing_an_inspection_ends_that_step_of_the_route_where_it_is_next(tmp_path):
    bowl = tiny_shop().model_dump(mode="json")["pieces"]["bowl"]
    trim, *rest = bowl["route"]
    route = [trim, {"kind": "inspect", "takes": "2 min"}, *rest]
    shop = tiny_shop(pieces={"bowl": {**bowl, "route": route}})
    with session_on(tmp_path / "f.db", shop) as (session, clock):
        demold_some(session, clock, count=1)
        async with board(session).run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            # The trim comes first: the inspection ends nothing yet.
            await press(pilot, "f", "i", "enter")
            assert latest(session) == e.CastingInspected(casting="c1", passed=True)
            session.log("ana", e.StepDone(castings=("c1",), step=0))
            await press(pilot, "i", "1", "enter", "1")
            assert session.floor.castings["c1"].next_step == 1
            await press(pilot, "i", "enter")
            assert said(pilot) == "Inspected: c1 passed; the inspection on its route is done."
            assert [entry.event for entry in session.store.latest(2)] == [
                e.StepDone(castings=("c1",), step=1),
                e.CastingInspected(casting="c1", passed=True),
            ]
            assert session.floor.castings["c1"].next_step == 3


async def test_weight_wall_and_air_are_typed_with_their_units(floor_with):
    session, _ = floor_with
    async with board(session).run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await press(pilot, "f", "down", "g", *"712.5")
        await press(pilot, "enter")
        assert "with its unit" in str(pilot.app.screen.query_one(".problem").render())
        await press(pilot, "space", "g", "enter")
        assert latest(session) == e.CastingWeighed(casting="c2", grams=712.5)
        await press(pilot, "c", *"rim", "space", "9", "m", "m", "enter")
        assert latest(session) == e.WallRead(casting="c2", point="rim", millimetres=9.0)
        await press(pilot, "y", *"50%", "enter")
        assert latest(session) == e.ConditionsRead(humidity_percent=50)
        await press(pilot, "y", *"20C,18C", "enter")
        read = latest(session)
        assert (read.room_celsius, read.humidity_percent, read.surface_celsius) == (20, 50, 18)


async def test_a_casting_is_scrapped_or_sent_back_with_its_reason(floor_with):
    session, _ = floor_with
    session.log("ana", e.StepDone(castings=("c1", "c2"), step=0))
    async with board(session).run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await press(pilot, "f", "w", "1", "7")
        assert latest(session) == e.CastingSentBack(casting="c1", step=0, reason="colour")
        await press(pilot, "r", "5")
        assert isinstance(latest(session), e.CastingRejected)
        assert title(pilot).startswith("Finishing and drying: 1 casting.")


async def test_rows_are_chosen_by_number_by_touch_and_by_a_scanned_label(floor_with):
    session, _ = floor_with
    async with board(session).run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await press(pilot, "f", "2")
        queue = pilot.app.screen.query_one("#queue", Sheet)
        assert queue.cursor == "c2"
        await pilot.click("#queue", offset=(10, 0))
        assert queue.cursor == "c1"
        await pilot.click("#queue", offset=(10, 0))
        assert pilot.app.screen.marked == {"c1"}
        pilot.app.screen.post_message(LabelScanned("c2", None))
        await settled(pilot)
        assert queue.cursor == "c2"
        await press(pilot, "9")
        assert said(pilot) == "There is no row 9."


async def test_whose_key_it_is_stays_the_same_on_the_floor(floor_with):
    session, _ = floor_with
    async with board(session).run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await press(pilot, "f", "asterisk", "enter")
        assert session.store.latest(1)[0].person == "ben"
        await press(pilot, "escape")
        assert pilot.app.screen.active == "ben"


async def test_a_step_may_be_logged_as_of_earlier(floor_with):
    session, clock = floor_with
    async with board(session).run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await press(pilot, "f", "e", "5", "enter")
        entry = session.store.latest(1)[0]
        assert entry.event == e.StepBegun(castings=("c1",), step=0)
        assert (clock.now() - entry.at).total_seconds() == 300


async def test_an_empty_queue_takes_every_key_without_logging(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=(60, 20)) as pilot:
            await settled(pilot)
            before = session.store.last_seq()
            await press(pilot, "f", *"ig", "enter", "space", "plus", "r", "w", "c", "a", "n")
            assert said(pilot) == "No casting is in finishing."
            assert session.store.last_seq() == before
