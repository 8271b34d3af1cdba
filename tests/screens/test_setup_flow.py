"""Setting up a shop by forms, and a newcomer's way from nothing to a first casting."""

from __future__ import annotations

from textual.widgets import Input, OptionList

from floorboard.floor import events as e
from floorboard.screens.floor_screen.floor_screen import FloorScreen
from floorboard.screens.floor_screen.person_panel import PersonPanel
from floorboard.screens.setup_screen.entry_form import EntryForm
from floorboard.screens.setup_screen.guide_app import GuideApp
from floorboard.screens.setup_screen.item_form import ItemForm
from floorboard.screens.setup_screen.setup_screen import SetupScreen
from floorboard.screens.sheet import Sheet
from floorboard.usecases.edit_shop import SECTIONS
from tests.board_run import board, press, session_on, settled
from tests.tiny_shop import tiny_shop


def said(pilot):
    return str(pilot.app.screen.query_one("#said").render())


def problems(pilot):
    return str(pilot.app.screen.query_one("#problems").render()).splitlines()


async def open_section(pilot, section):
    """Open the set-up on a section's entries."""
    await press(pilot, "s")
    await pilot.press(*["down"] * SECTIONS.index(section), "enter")


async def fill(pilot, **values):
    """Type values into the fields of the form that is open."""
    for name, value in values.items():
        field = pilot.app.screen.query_one(f"#field-{name}")
        if isinstance(field, Input):
            field.value = value
        else:
            field.text = value
    await pilot.pause()


async def new_entry(pilot, key, **values):
    """Add an entry by its id and its fields, and save."""
    await pilot.press("n", *key, "enter")
    assert isinstance(pilot.app.screen, EntryForm)
    await fill(pilot, **values)
    await press(pilot, "f2")


async def test_a_newcomer_goes_from_nothing_to_a_first_casting(tmp_path):
    size = (60, 20)
    guide = GuideApp("Europe/Lisbon")
    async with guide.run_test(size=size) as pilot:
        # Enter takes every answer as it stands; from the last line it opens the board.
        await pilot.press(*["enter"] * 18)
    assert guide.return_value is not None
    assert guide.return_value.shop.zone == "Europe/Lisbon"
    with session_on(tmp_path / "f.db", guide.return_value) as (session, _):
        async with board(session).run_test(size=size) as pilot:
            await settled(pilot)
            await press(pilot, "enter")
            assert isinstance(session.store.latest(1)[0].event, e.CastingBegun)


async def test_the_guide_says_every_mistake_at_once_and_esc_makes_nothing():
    guide = GuideApp("UTC")
    async with guide.run_test(size=(80, 24)) as pilot:
        for key, text in {"start": "early", "molds": "many", "grams": "400"}.items():
            guide.screen.query_one(f"#answer-{key}", Input).value = text
        await pilot.press("f2")
        lines = problems(pilot)
        assert lines[0] == "Found 'many' molds; type a number from 1 to 99."
        assert lines[1].startswith("When does your day start? Found 'early', expected a time")
        assert lines[2].startswith("How much mix goes into one layer? Found '400', expected")
        assert len(lines) == 3
        assert guide.focused.id == "answer-molds"
        await pilot.press("escape")
    assert guide.return_value is None


async def test_a_person_added_has_a_panel_on_the_floor_and_one_removed_has_none(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=(120, 40)) as pilot:
            await settled(pilot)
            await open_section(pilot, "people")
            await pilot.press("n", *"cleo", "enter", *"Cleo", "tab")
            assert isinstance(pilot.app.screen, EntryForm)
            await press(pilot, "n")
            assert isinstance(pilot.app.screen, ItemForm)
            await fill(pilot, start="08:00", end="17:00")
            await press(pilot, "f2", "f2")
            assert said(pilot) == "Saved. Castings already begun keep the build they began with."
            everyones, added = session.shop.people["cleo"].shifts
            assert (everyones,) == session.shop.people["ben"].shifts
            assert added.days == (0, 1, 2, 3, 4)
            await press(pilot, "d", "1")
            assert "cleo" not in session.shop.people
            await press(pilot, "up", "up", "d", "1")
            assert list(session.shop.people) == ["ben"]
            await press(pilot, "escape", "escape")
            assert isinstance(pilot.app.screen, FloorScreen)
            assert [panel.person for panel in pilot.app.screen.query(PersonPanel)] == ["ben"]
            assert pilot.app.screen.active == "ben"
            await press(pilot, "1", "enter")
            assert session.store.latest(1)[0].person == "ben"


async def test_a_mold_added_is_on_the_board_and_an_order_is_planned_for(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=(120, 40)) as pilot:
            await settled(pilot)
            await open_section(pilot, "molds")
            await new_entry(pilot, "m4", number="4", piece="bowl")
            await press(pilot, "escape", "down", "down", "enter")
            await new_entry(pilot, "fair", piece="bowl", quantity="3", due="2026-03-05")
            assert session.shop.orders["fair"].quantity == 3
            await press(pilot, "escape", "escape")
            rows = pilot.app.screen.query_one("#board").rows
            assert [row.number for row in rows] == [1, 2, 3, 4]
            assert [order.order for order in session.plan.orders] == ["fair"]
            await press(pilot, "4", "enter")
            assert session.floor.casting_in("m4") is not None


async def test_a_new_molds_form_starts_with_its_number_and_the_only_piece(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await open_section(pilot, "molds")
            await press(pilot, "n", "m", "4", "enter", "f2")
            assert (session.shop.molds["m4"].number, session.shop.molds["m4"].piece) == (4, "bowl")


async def test_every_mistake_in_a_form_is_said_at_once_and_esc_changes_nothing(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            before = session.store.last_seq()
            await open_section(pilot, "molds")
            await press(pilot, "enter")
            await fill(pilot, number="2", piece="bawl", pulls="many")
            await press(pilot, "f2")
            found = "\n".join(problems(pilot))
            assert "pulls: found 'many', expected a whole number" in found
            assert "piece: found 'bawl'" in found
            assert isinstance(pilot.app.screen, EntryForm)
            await press(pilot, "escape")
            assert isinstance(pilot.app.screen, SetupScreen)
            assert session.store.last_seq() == before
            assert session.shop.molds["m1"].number == 1


async def test_layers_are_changed_added_moved_and_removed_in_forms_of_their_own(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await open_section(pilot, "pieces")
            await press(pilot, "enter", "tab", "enter")
            assert isinstance(pilot.app.screen, ItemForm)
            await fill(pilot, amount="lots")
            await press(pilot, "f2")
            assert problems(pilot)[0].startswith("amount: found 'lots', expected a weight")
            await fill(pilot, amount="350 g")
            await press(pilot, "f2", "n")
            await fill(pilot, mix="coat", amount="200 g", apply="3 min", partial_cure="10 min")
            await press(pilot, "f2", "plus", "up", "d", "f2")
            amounts = [float(layer.amount) for layer in session.shop.pieces["bowl"].layers]
            assert amounts == [350, 200]


async def test_leaving_a_piece_brings_back_the_layers_removed_in_its_form(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await open_section(pilot, "pieces")
            await press(pilot, "enter", "tab", "d", "escape")
            assert len(session.shop.pieces["bowl"].layers) == 2
            await press(pilot, "enter", "tab", "d", "d", "f2")
            assert problems(pilot)[0].startswith("layers: found")


async def test_a_mold_that_holds_a_casting_and_a_hand_at_work_are_not_removed(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await press(pilot, "1", "enter")
            serial = session.floor.casting_in("m1").serial
            await open_section(pilot, "molds")
            await press(pilot, "d", "1")
            assert said(pilot) == f"Mold 1 holds casting {serial}. Demold it or scrap it first."
            await press(pilot, "escape", *["up"] * 4, "enter", "d", "1")
            assert said(pilot) == "Ana has work in hand. Finish or strike it first."


async def test_what_others_still_refer_to_is_not_removed(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await open_section(pilot, "pieces")
            await press(pilot, "d", "1")
            assert "bowl" in said(pilot)
            assert "bowl" in session.shop.pieces


async def test_an_id_that_is_taken_or_no_id_is_said(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await open_section(pilot, "molds")
            await pilot.press("n", *"m1", "enter")
            problem = str(pilot.app.screen.query_one(".problem").render())
            assert problem == "There is a mold m1 already. Choose another id."
            await press(pilot, "space", "enter")
            await press(pilot, "X", "enter")
            problem = str(pilot.app.screen.query_one(".problem").render())
            assert problem.endswith("use up to 40 lower-case letters, digits and hyphens.")


async def test_forms_are_saved_and_left_by_touch(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await open_section(pilot, "shop")
            await press(pilot, "enter")
            await fill(pilot, name="Other")
            await pilot.click("#leave")
            await settled(pilot)
            assert session.shop.shop.name == "Tiny"
            await press(pilot, "enter")
            await fill(pilot, name="Other")
            await pilot.click("#save")
            await settled(pilot)
            assert session.shop.shop.name == "Other"
            assert pilot.app.screen.query_one("#entries", OptionList).option_count == 1


async def test_a_shop_changed_at_another_station_is_taken_in(tmp_path):
    with (
        session_on(tmp_path / "f.db") as (session, clock),
        session_on(tmp_path / "f.db") as (other, _),
    ):
        async with board(session).run_test(size=(120, 40)) as pilot:
            await settled(pilot)
            people = {"zoe": tiny_shop().people["ana"].model_copy(update={"name": "Zoe"})}
            changed = tiny_shop().model_copy(update={"people": people})
            other.store.load_shop(
                changed, source="test", at=clock.now(), person=None, station="other"
            )
            pilot.app.look_round()
            await settled(pilot)
            assert [panel.person for panel in pilot.app.screen.query(PersonPanel)] == ["zoe"]


async def test_an_entry_stays_chosen_when_the_terminal_is_resized(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=(200, 60)) as pilot:
            await settled(pilot)
            await open_section(pilot, "molds")
            await pilot.press("down")
            entries = pilot.app.screen.query_one("#entries", OptionList)
            assert entries.highlighted == 1
            await pilot.resize_terminal(190, 55)
            await pilot.pause()
            assert entries.highlighted == 1


async def test_a_section_without_entries_shows_no_fields_of_another(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=(200, 60)) as pilot:
            await settled(pilot)
            assert not session.shop.orders
            await press(pilot, "s")
            await pilot.press(*["down"] * SECTIONS.index("orders"))
            await pilot.pause()
            sheet = pilot.app.screen.query_one("#fields-shown", Sheet)
            assert sheet.lines == []
