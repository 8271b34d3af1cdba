"""Pictures of the mix desk: one a state and size. Look at what changed before taking a new one.

New pictures: pytest tests/screens/test_desk_pictures.py --snapshot-update
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from floorboard.screens.app import BoardApp
from tests.board_run import settled
from tests.desk_shop import Desk
from tests.usecases.test_weighing import LOTS

pytestmark = pytest.mark.usefixtures("colours")

SIZES = [(80, 24), (120, 40)]


@pytest.fixture
def app(tmp_path: Path) -> Any:
    """A board with two molds readied for their first layer."""
    desk = Desk(tmp_path)
    desk.receive(*LOTS)
    desk.begin("m1", "m2")
    yield BoardApp(desk.session)
    desk.close()


def pressing(*keys: str) -> Any:
    """Return what presses these keys before the picture is taken."""

    async def run(pilot: Any) -> None:
        await settled(pilot)
        for key in keys:
            if hasattr(pilot.app.screen, "gate"):
                pilot.app.screen.gate.forget()
            await pilot.press(key)
            await settled(pilot)

    return run


@pytest.mark.parametrize("size", SIZES)
def test_an_over_pour_is_shown_with_what_puts_it_right(app, size, snap_compare) -> None:
    """The red number is what is over; the additions are those of the corrected batch."""
    keys = ("m", "down", "plus", "enter", *"212", "enter")
    assert snap_compare(app, terminal_size=size, run_before=pressing(*keys))


@pytest.mark.parametrize("size", SIZES)
def test_the_stock_is_shown_with_the_lots_of_one_material(app, size, snap_compare) -> None:
    """Powder is chosen; its lot is marked as the one used first."""
    assert snap_compare(app, terminal_size=size, run_before=pressing("o"))
