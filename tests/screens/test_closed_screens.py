"""A screen that was closed is let go of, with all that was drawn of it."""

from __future__ import annotations

import gc
import time
import weakref

import pytest

from floorboard.screens.charts_screen.chart_plots import Chart
from floorboard.screens.views import FLOOR, VIEWS
from tests.board_run import board, press, session_on, settled

KEYS = [view.keys.split(",")[0] for view in VIEWS if view.name != FLOOR]
DEADLINE_SECONDS = 30.0


async def open_and_close(app, pilot, key, things_of):
    """Open a view, close it, and return weak references to things of it."""
    await press(pilot, key)
    things = [weakref.ref(thing) for thing in things_of(app.screen)]
    assert len(things) > 1
    await press(pilot, "escape")
    assert len(app.screen_stack) == 2
    return things


async def held(pilot, things):
    """Return which of these are held on to, once the closed screen's own loops have ended.

    Its timers have to ring and what it did in a thread has to end, however busy the machine is.
    """
    deadline = time.monotonic() + DEADLINE_SECONDS
    while time.monotonic() < deadline:
        gc.collect()
        if not any(thing() is not None for thing in things):
            break
        await pilot.pause()
    return [thing() for thing in things if thing() is not None]


def drawings(screen):
    # The screen itself, alone, is held until the timers it had set would have rung.
    return [widget._styles_cache for widget in screen.walk_children(with_self=False)]


@pytest.mark.parametrize("key", KEYS)
async def test_nothing_drawn_of_a_view_is_kept_once_it_is_closed(key, tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        app = board(session)
        async with app.run_test(size=(120, 40)) as pilot:
            await settled(pilot)
            things = await open_and_close(app, pilot, key, drawings)
            assert await held(pilot, things) == []


async def test_a_chart_that_was_closed_is_let_go_of(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        app = board(session)
        async with app.run_test(size=(120, 40)) as pilot:
            await settled(pilot)
            things = await open_and_close(app, pilot, "d", lambda screen: screen.query(Chart))
            assert await held(pilot, things) == []
