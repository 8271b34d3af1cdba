"""Pictures of the tally, finishing, charts, hands, log and set-up: the demo's day, its clock still.

Look at what changed before taking new ones:
pytest -n 0 tests/screens/test_screen_pictures.py --snapshot-update
"""

from __future__ import annotations

import pytest

from floorboard.screens.app import BoardApp
from floorboard.screens.setup_screen.guide_app import GuideApp
from tests.board_run import settled

NARROW, PLAIN, WIDE, WALL = (60, 20), (80, 24), (120, 40), (200, 60)


pytestmark = pytest.mark.usefixtures("colours")


def pressing(*keys):
    """Return what presses these keys, each after the workers before it, for a picture."""

    async def run(pilot):
        await settled(pilot)
        for key in keys:
            await pilot.press(key)
            await settled(pilot)
        # What a worker brought is drawn after the layout has settled.
        await pilot.pause()

    return run


@pytest.mark.parametrize("size", [NARROW, WIDE, WALL], ids=["60", "120", "200"])
def test_the_days_tally(demo_session, size, snap_compare):
    """Counts at the top, then blocks in one column, two, three."""
    assert snap_compare(BoardApp(demo_session), terminal_size=size, run_before=pressing("t"))


def test_the_finishing_queue_beside_its_details(demo_session, snap_compare):
    """Two castings marked that one session cannot take: the sentence says so."""
    keys = ("f", "8", "space", "down", "space")
    assert snap_compare(BoardApp(demo_session), terminal_size=WIDE, run_before=pressing(*keys))


def test_the_finishing_queue_above_its_details(demo_session, snap_compare):
    """Light; the air at the top, what Enter does beneath."""
    app = BoardApp(demo_session, light=True)
    assert snap_compare(app, terminal_size=NARROW, run_before=pressing("f", "down"))


def test_all_four_charts(demo_session, snap_compare):
    """The day's curve, the hours' bars, the molds' bars with the retire line, no weights yet."""
    assert snap_compare(BoardApp(demo_session), terminal_size=WIDE, run_before=pressing("d"))


def test_one_chart_in_light(demo_session, snap_compare):
    """Hands by the hour alone."""
    app = BoardApp(demo_session, light=True)
    assert snap_compare(app, terminal_size=PLAIN, run_before=pressing("d", "2"))


@pytest.mark.parametrize("size", [NARROW, WIDE], ids=["60", "120"])
def test_the_hands_chart(demo_session, size, snap_compare):
    """People above, molds beneath, then how likely the count is."""
    assert snap_compare(BoardApp(demo_session), terminal_size=size, run_before=pressing("h"))


def test_the_log(demo_session, snap_compare):
    """Light; the second entry chosen and shown whole."""
    app = BoardApp(demo_session, light=True)
    assert snap_compare(app, terminal_size=PLAIN, run_before=pressing("l", "down"))


def test_a_piece_in_its_form(demo_session, snap_compare):
    """Layers as lines with what can be done with them; the steps beneath."""
    keys = ("s", *["down"] * 4, "enter", "enter", "tab")
    assert snap_compare(BoardApp(demo_session), terminal_size=WIDE, run_before=pressing(*keys))


def test_a_layer_with_a_mistake_in_its_form(demo_session, snap_compare):
    """The mistake is said at the top and the field it is in has the cursor."""
    keys = ("s", *["down"] * 4, "enter", "enter", "tab", "enter", "tab", "tab")
    keys += (*"many", "f2")
    assert snap_compare(BoardApp(demo_session), terminal_size=PLAIN, run_before=pressing(*keys))


def test_the_first_run_guide(snap_compare):
    """The welcome and the first questions, each with an answer."""
    app = GuideApp("Europe/Lisbon")
    assert snap_compare(app, terminal_size=NARROW)
