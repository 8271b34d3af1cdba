"""Faults of the program itself: said, written down, and no reason for the board to stop."""

from __future__ import annotations

import datetime as dt

from floorboard.cli.compose import ShopPlanner
from floorboard.planning.planner import WAY_FAILED
from floorboard.screens.app import BoardApp
from floorboard.screens.fault_log import LARGEST_BYTES, FaultLog
from floorboard.shop.errors import StoreError
from tests.board_run import press, session_on, settled

AT = dt.datetime(2026, 3, 2, 8, 0, tzinfo=dt.UTC)


class FailingPlanner(ShopPlanner):
    """A planner that fails as long as it is given an error to fail with."""

    error: Exception | None = None

    def plan(self, *asked):
        if self.error is not None:
            raise self.error
        return super().plan(*asked)


async def test_a_planner_that_fails_leaves_the_board_going_and_says_where_the_details_are(tmp_path):
    faults = FaultLog(tmp_path / "faults.log")
    with session_on(tmp_path / "f.db") as (session, _):
        session.planner = planner = FailingPlanner()
        app = BoardApp(session, faults=faults)
        async with app.run_test(size=(120, 30)) as pilot:
            await settled(pilot)
            assert session.plan.tasks
            planner.error = KeyError("[red]mold[/] 7")
            await press(pilot, "1", "enter")
            app.look_round()
            await pilot.pause()
            assert app.warning_text == (
                "The plan could not be drawn up: KeyError; the board goes on without one"
            )
            assert [str(faults.path) in note.message for note in app._notifications] == [True]
            assert session.plan.tasks == ()
            # Every key still does its work; the same fault is shown once and written each time.
            await press(pilot, "1", "enter")
            kinds = [entry.event.kind for entry in session.store.latest(2)]
            assert kinds == ["mold readied", "casting begun"]
            assert len(app._notifications) == 1
            planner.error = None
            await press(pilot, "2", "enter")
            app.look_round()
            assert app.warning_text == ""
            assert session.plan.tasks
    written = faults.path.read_text()
    assert written.count("while drawing up a plan:") == 2
    assert "KeyError: '[red]mold[/] 7'" in written
    assert faults.path.stat().st_mode & 0o077 == 0


async def test_a_planner_refused_by_the_database_says_so_and_nothing_is_written_down(tmp_path):
    faults = FaultLog(tmp_path / "faults.log")
    with session_on(tmp_path / "f.db") as (session, _):
        session.planner = planner = FailingPlanner()
        planner.error = StoreError("The disk is full.")
        app = BoardApp(session, faults=faults)
        async with app.run_test(size=(120, 30)) as pilot:
            await settled(pilot)
            app.look_round()
            assert "could not be drawn up: The disk is full; " in app.warning_text
    assert not faults.path.exists()


def test_a_fault_is_written_without_anything_that_could_drive_a_terminal(tmp_path):
    faults = FaultLog(tmp_path / "a folder" / "faults.log")
    said = faults.note("drawing", ValueError("a\x1b[2Jb\x07\u202ec\ud800"), AT)
    assert said == f"Details are in {faults.path}."
    written = faults.path.read_text()
    assert "ValueError: a\\x1b[2Jb\\x07\\u202ec\\ud800" in written
    assert all(character == "\n" or character.isprintable() for character in written)


def test_faults_never_fill_the_disk(tmp_path):
    faults = FaultLog(tmp_path / "faults.log")
    for _ in range(60):
        faults.note("drawing", ValueError("x" * 50_000), AT)
    files = list(tmp_path.iterdir())
    assert len(files) == 2
    assert sum(file.stat().st_size for file in files) < 2 * (LARGEST_BYTES + 50_000)


def test_a_fault_that_cannot_be_written_down_is_said_so(tmp_path):
    (tmp_path / "file").write_text("")
    said = FaultLog(tmp_path / "file" / "faults.log").note("drawing", ValueError("x"), AT)
    assert said.startswith("Details could not be written to ")


class StumblingPlanner(ShopPlanner):
    """A planner whose first way failed, so that it went a simpler one."""

    def plan(self, *asked):
        plan = super().plan(*asked)
        return plan.model_copy(update={"notes": (f"{WAY_FAILED} (ValueError: x).", *plan.notes)})


async def test_a_way_to_plan_that_failed_is_said_on_the_board(tmp_path):
    with session_on(tmp_path / "f.db") as (session, _):
        session.planner = StumblingPlanner()
        app = BoardApp(session)
        async with app.run_test(size=(120, 30)) as pilot:
            await settled(pilot)
            app.look_round()
            assert app.warning_text == "A way to plan failed (ValueError: x)."
            assert session.plan.tasks
