"""Every shape that a screen shows is explained on the key sheet, in words a newcomer knows."""

from __future__ import annotations

import unicodedata

import pytest
from textual.widgets import OptionList

from floorboard.floor import events as e
from floorboard.screens import looks
from floorboard.screens.floor_screen.next_view import panel_facts
from floorboard.screens.hands_screen.hands_shapes import legend
from floorboard.screens.hands_screen.hands_view import plan_words
from floorboard.screens.key_sheet import KeySheet
from floorboard.screens.legend import STATE_WORDS, meanings
from floorboard.usecases.other_work import other_work
from floorboard.usecases.presses import press_for_mold
from tests.board_run import board, press, session_on, settled
from tests.screens.desk_run import desk_run

# Pixels of large digits, the scroll bar, rules, and what stands for words left out.
NOT_SHAPES = set("█▀▄▌▐▇▆▅▃▂▁▊▎▔─…")


def shapes_on(app) -> set[str]:
    strips = app.screen._compositor.render_strips()
    text = "".join(segment.text for strip in strips for segment in strip)
    signs = {c for c in text if ord(c) > 127 and unicodedata.category(c)[0] != "L"}
    return signs - NOT_SHAPES


def explained(ascii_only: bool = False) -> str:
    return "".join(meaning.shape for meaning in meanings(ascii_only))


@pytest.mark.parametrize("view", ["", "h", "m", "t", "f", "o", "l"])
async def test_every_shape_on_a_screen_is_on_the_key_sheet(tmp_path, view):
    with session_on(tmp_path / "f.db") as (session, clock):
        app = board(session)
        async with app.run_test(size=(120, 40)) as pilot:
            await settled(pilot)
            for minutes in (0, 5, 0, 2, 1):
                clock.forward(minutes * 60)
                await press(pilot, "1", "enter")
            if view:
                await press(pilot, view)
                await app.workers.wait_for_complete()
                await pilot.pause()
            assert shapes_on(app) - set(explained()) - set("■") == set()


def test_every_state_has_its_shape_and_words_and_ascii_has_no_other_signs() -> None:
    assert set(STATE_WORDS) == set(looks.LOOKS)
    assert {look.shape for look in looks.LOOKS.values()} <= {m.shape for m in meanings()}
    assert explained(ascii_only=True).isascii()


async def test_the_key_sheet_shows_the_shapes_beneath_the_keys_and_f1_opens_it(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        app = board(session)
        async with app.run_test(size=(60, 20)) as pilot:
            await settled(pilot)
            await press(pilot, "f1")
            assert isinstance(app.screen, KeySheet)
            options = app.screen.query_one(OptionList)
            lines = [
                str(options.get_option_at_index(place).prompt)
                for place in range(options.option_count)
            ]
            assert any(line.startswith("▼") for line in lines)
            assert any("Change from dark to light" in " ".join(line.split()) for line in lines)
            # A shape is no key: choosing its line leaves the sheet as it is.
            await pilot.press("end", "enter")
            assert isinstance(app.screen, KeySheet)


async def test_the_key_for_colours_says_what_it_brought_and_what_comes_next(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        app = board(session)
        async with app.run_test(size=(120, 40)) as pilot:
            await settled(pilot)
            await press(pilot, "f9")
            assert app.screen.last_said.startswith("Colours: light.")
            assert "to strong contrast" in app.screen.last_said


async def test_no_word_of_the_search_reaches_who_reads_the_plan(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            legend_words = [words for _, words in legend()]
            plan = plan_words(session.shop, session.plan, session.now)
            said = " ".join((*plan, *legend_words))
            for word in ("insertion", "ruin", "recreate", "solver", "CP-SAT", "engine"):
                assert word not in said


async def test_other_work_in_hand_is_said_alike_on_floor_and_ticket_and_refuses_nothing(tmp_path):
    async with desk_run(tmp_path, "m1", size=(120, 40)) as run:
        session = run.app.session
        # Something else begun, and not finished.
        await run.press("2", "enter")
        person = run.app.screen.active
        sentence = other_work(session.shop, session.floor, person)
        assert "other work in hand: readying mold 2" in sentence
        chosen = press_for_mold(session.floor, "m1", person)
        facts = panel_facts(session.shop, session.floor, session.plan, person, chosen)
        assert facts.panel.remark.startswith(sentence)
        await run.press("m")
        assert "other work in hand" in run.shown("side")
        await run.press("enter")
        assert isinstance(session.store.latest(1)[0].event, e.BatchBegun)


async def test_a_second_job_hides_neither_the_batch_nor_its_working_time(tmp_path):
    async with desk_run(tmp_path, "m1", "m2", size=(120, 40)) as run:
        session = run.app.session
        await run.press("1", "enter", "enter")
        person = run.app.screen.active
        (batch,) = session.floor.open_batches()
        assert batch.sets_at is not None
        run.forward(0.5)
        await run.press("3", "enter")
        assert session.floor.in_hand(person).kind == "ready"
        (panel,) = (p for p in run.app.screen._panels if p.person == person)
        assert panel._panel.runs_out_in == (batch.sets_at - session.now).total_seconds()
        assert "working time left" in run.shown()
        await run.press("m")
        assert batch.serial in run.shown("top")
