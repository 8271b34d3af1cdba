"""What if on the board: what is supposed, the table and its charts, and what is said instead."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from floorboard.planning.whatif import WhatIf, WhatIfRow
from floorboard.planning.whatif_beside import WhatIfBeside
from floorboard.screens.charts_screen.chart_plots import Chart
from floorboard.screens.floor_screen.floor_screen import FloorScreen
from floorboard.screens.sheet import Sheet
from floorboard.screens.whatif_screen.whatif_screen import WhatIfScreen
from floorboard.screens.whatif_screen.whatif_view import bars_of, scenarios_of, table_lines
from floorboard.shop.errors import FloorboardError
from floorboard.shop.mixes import WorkingTimeTable
from tests.board_run import board, press, session_on, settled
from tests.tiny_shop import tiny_shop

if TYPE_CHECKING:
    from pathlib import Path

    from textual.pilot import Pilot

    from floorboard.planning.scenario import Scenario
    from floorboard.shop.shop import Shop


def row(name: str, molds: int, castings: float, cost: float | None) -> WhatIfRow:
    return WhatIfRow(
        name=name,
        molds=molds,
        people=2,
        accelerator_percent=None,
        largest_batch_grams=None,
        castings_per_shift=castings,
        hands_used=0.75,
        labour_cost=100,
        material_cost=10,
        cost_per_casting=cost,
    )


FOUND = WhatIf(
    currency="EUR",
    rows=(row("as it is", 3, 9.0, 20.5), row("2 molds", 2, 6.5, 28.0), row("4 molds", 4, 0, None)),
    sentences=("3 molds keep 2 people busy; a 4th mold adds nothing.",),
)


def test_molds_and_people_are_supposed_on_both_sides_of_what_there_is() -> None:
    shop = tiny_shop()
    molds, people = len(shop.molds), len(shop.people)
    for axis, here in (("molds", molds), ("people", people)):
        first, *others = scenarios_of(shop, axis)
        assert getattr(first, axis) is None
        counts = [getattr(scenario, axis) for scenario in others]
        assert counts == sorted(set(counts) - {here})
        assert {here + 1, here + 2} <= set(counts)
        assert here == 1 or here - 1 in counts


def test_buckets_are_shares_of_the_largest_there_is() -> None:
    shop = tiny_shop()
    largest = max(float(mix.largest_batch) for mix in shop.mixes.values())
    _, *others = scenarios_of(shop, "largest_batch_grams")
    found = [scenario.largest_batch_grams for scenario in others]
    assert found == [largest / 2, largest * 3 / 4, largest * 3 / 2, largest * 2]


def test_accelerator_is_supposed_by_the_points_of_a_table_alone() -> None:
    shop = tiny_shop()
    assert len(scenarios_of(shop, "accelerator_percent")) == 1
    key, mix = next(iter(shop.mixes.items()))
    points = [
        {"percent": f"{percent} %", "working_time": f"{20 - 8 * percent} min"} for percent in (0, 1)
    ]
    table = WorkingTimeTable.model_validate({"additive": "salt", "points": points})
    mixes = {**shop.mixes, key: mix.model_copy(update={"working_time": table})}
    supposed = scenarios_of(shop.model_copy(update={"mixes": mixes}), "accelerator_percent")
    assert [scenario.accelerator_percent for scenario in supposed] == [None, 0.0, 1.0]


def test_the_table_says_castings_hands_and_cost_at_every_width() -> None:
    for width in (30, 58, 118):
        texts = [line.text for line in table_lines(FOUND, width)]
        assert any("9.0" in text and "75%" in text and "20.50 EUR" in text for text in texts)
        assert any(text.startswith("4 molds") and text.endswith(" -") for text in texts)
        assert "adds nothing." in " ".join(texts)


def test_bars_stand_in_the_order_of_what_they_suppose() -> None:
    assert bars_of(FOUND, "molds") == [("2", 6.5, 28.0), ("3", 9.0, 20.5), ("4", 0.0, None)]
    # No such number: the shop as it is comes first.
    (first,) = bars_of(FOUND.model_copy(update={"rows": FOUND.rows[:1]}), "accelerator_percent")
    assert first == ("as is", 9.0, 20.5)


def told(pilot: Pilot[None]) -> str:
    return " ".join(line.text for line in pilot.app.screen.query_one(Sheet).lines)


@pytest.mark.parametrize("size", [(60, 20), (120, 40)])
async def test_a_key_works_out_a_table_and_draws_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, size: tuple[int, int]
) -> None:
    asked: list[list[str]] = []

    def ask(self: WhatIfBeside, shop: Shop, now: object, scenarios: list[Scenario], _: float):
        asked.append([scenario.name for scenario in scenarios])
        return FOUND

    monkeypatch.setattr(WhatIfBeside, "ask", ask)
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=size) as pilot:
            await settled(pilot)
            await press(pilot, "i")
            assert isinstance(pilot.app.screen, WhatIfScreen)
            assert "Choose what to suppose" in told(pilot)
            await press(pilot, "1")
            await pilot.app.workers.wait_for_complete()
            await pilot.pause()
            await pilot.pause()
            assert asked == [[s.name for s in scenarios_of(session.shop, "molds")]]
            assert "as it is" in told(pilot)
            for chart in pilot.app.screen.query(Chart):
                assert "█" in str(chart.render())
            await press(pilot, "escape")
            assert isinstance(pilot.app.screen, FloorScreen)


async def test_what_cannot_be_supposed_or_worked_out_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise FloorboardError("No process could be started.")

    monkeypatch.setattr(WhatIfBeside, "ask", refuse)
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await press(pilot, "i", "3")
            assert "No mix of this shop has a table" in told(pilot)
            await press(pilot, "2")
            await pilot.app.workers.wait_for_complete()
            await pilot.pause()
            assert "No process could be started." in told(pilot)


async def test_leaving_ends_what_is_being_worked_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    closed: list[bool] = []
    monkeypatch.setattr(WhatIfBeside, "close", lambda self: closed.append(True))
    with session_on(tmp_path / "f.db") as (session, _):
        async with board(session).run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await press(pilot, "i", "escape")
            await pilot.pause()
            assert closed == [True]
