"""Calls reach whoever looks at another screen than the floor."""

from __future__ import annotations

import pytest

from floorboard.screens.app import BoardApp
from floorboard.screens.call_over import CallOver
from floorboard.screens.views import FAR, FLOOR, VIEWS
from tests.board_run import press, session_on
from tests.screens.test_calling import lost_window

# The key that opens each screen, and the one that hushes a call there. The far view is a call itself.
SCREENS = {view.keys.split(",")[0]: "space" for view in VIEWS if view.name not in {FLOOR, FAR}}

# Where Space marks a casting.
SCREENS["f"] = "j"


@pytest.mark.parametrize(("ascii_only", "said"), [(False, "✖ LOST"), (True, "X LOST")])
async def test_every_screen_shows_the_call_and_hushes_it_by_a_key(tmp_path, ascii_only, said):
    with session_on(tmp_path / "f.db") as (session, clock):
        app = BoardApp(session, ascii_only=ascii_only)
        async with app.run_test(size=(60, 20)) as pilot:
            await lost_window(session, clock, pilot)
            for view, hush in SCREENS.items():
                pilot.app.desk._heard.clear()
                pilot.app.look_round()
                await press(pilot, view)
                bar = pilot.app.screen.query_one(CallOver)
                assert bar.display, view
                assert said in str(bar.render()), view
                await press(pilot, hush)
                bar.look()
                # Another, less urgent call may take its place.
                assert not bar.display or "LOST" not in str(bar.render()), view
                await press(pilot, "escape")
