"""The stock screen by its keys, on a real database."""

from __future__ import annotations

import pytest
from textual.widgets import OptionList

from tests.screens.desk_run import desk_run


async def test_a_lot_is_received_counted_wasted_and_opened_by_keys(tmp_path) -> None:
    async with desk_run(tmp_path, size=(120, 40), lots=False) as run:
        await run.press("o")
        assert "No lot has been received yet" in run.shown()
        await run.press("r", "1")
        await run.fill("P-7")
        await run.fill("25 kg")
        await run.fill("2026-09-30")
        await run.fill("52.50")
        assert "Lot P-7 of powder received, 25000 g" in run.said
        assert "25 000.0 g" in run.shown()
        await run.press("b")
        assert "opened" in run.said
        await run.press("w")
        await run.fill("200 g")
        assert "200 g powder wasted" in run.said
        await run.press("k")
        await run.fill("24 kg")
        lot = run.desk.session.book.lot(run.desk.session.shop, "powder", "P-7")
        assert (lot.on_hand_grams, lot.cost_per_gram) == (24_000, 52.5 / 25_000)
        await run.press("minus")
        assert "Struck: Lot P-7 of powder counted" in run.said


async def test_a_mistyped_weight_or_date_is_told_and_nothing_is_logged(tmp_path) -> None:
    async with desk_run(tmp_path) as run:
        await run.press("o", "r", "1")
        await run.fill("P-8")
        await run.fill("25")
        assert "expected a weight with its unit" in run.shown()
        await run.press("escape")
        assert "P-8" not in run.shown()


async def test_a_solution_is_made_up_out_of_what_is_in_stock(tmp_path) -> None:
    async with desk_run(tmp_path, size=(120, 40)) as run:
        run.desk.receive(("salt", "S1", 1000.0))
        await run.press("o", "u", "1")
        await run.fill("520 g")
        assert "Lot quick-260302 of quick made up, 520 g of 40 g salt, 480 g water" in run.said


async def test_a_lot_and_a_casting_are_traced_over_the_screen(tmp_path) -> None:
    async with desk_run(tmp_path, "m1", size=(120, 40)) as run:
        await run.press("m", "enter", *["enter"] * 9)
        casting = next(run.desk.session.floor.open_castings()).serial
        await run.press("o", "g")
        assert "Lot P1 of powder went into 1 casting:" in run.shown()
        await run.press("escape", "c")
        await run.fill(casting)
        text = run.shown()
        assert "is made of 4 lots" in text
        assert "layer 1, batch B260302-01" in text
        await run.press("escape", "c")
        await run.fill("none")
        assert "found no casting 'none'" in run.said


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 40), (200, 60)])
async def test_at_every_size_materials_and_lots_are_seen(tmp_path, size) -> None:
    async with desk_run(tmp_path, size=size) as run:
        await run.press("o")
        run.app.screen.query_one("#materials", OptionList)
        wanted = ("Powder A", "25 000.0 g", "P1", "on hand", "plan takes")
        # The columns are laid out once the screen knows its width.
        for _ in range(20):
            if all(words in run.shown() for words in wanted):
                break
            await run.pilot.pause()
        for words in wanted:
            assert words in run.shown()
