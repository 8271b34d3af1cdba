"""What looks for better plans beside the board: made ready with it, told of every plan, ended."""

from __future__ import annotations

from floorboard.screens.app import BoardApp
from floorboard.screens.fault_log import FaultLog
from tests.board_run import press, session_on, settled


class Looking:
    """Notes what it is told, and has one better plan to give."""

    def __init__(self):
        self.told = []
        self.better = None

    def warm(self):
        self.told.append("warm")

    def start(self, shop, floor, now, plan):
        self.told.append(plan.seq)

    def poll(self):
        better, self.better = self.better, None
        return better

    def close(self):
        self.told.append("close")


async def test_it_is_made_ready_at_the_start_and_told_of_the_first_plan_and_each_new_one(tmp_path):
    looking = Looking()
    with session_on(tmp_path / "f.db") as (session, _):
        app = BoardApp(session, betterer=lambda: looking)
        async with app.run_test(size=(120, 30)) as pilot:
            await settled(pilot)
            first = session.floor.last_seq
            assert looking.told == ["warm", first]
            await press(pilot, "1", "enter")
            assert session.floor.last_seq > first
            assert looking.told[-1] == session.floor.last_seq
            better = session.plan.model_copy(update={"notes": ("Better.",)})
            looking.better = better
            app.follow_better_plan()
            assert "Better." in session.plan.notes
    assert looking.told[-1] == "close"


async def test_what_cannot_be_made_ready_is_written_down_and_the_board_goes_on(tmp_path):
    faults = FaultLog(tmp_path / "faults.log")

    def unmade():
        raise RuntimeError("no process")

    with session_on(tmp_path / "f.db") as (session, _):
        app = BoardApp(session, betterer=unmade, faults=faults)
        async with app.run_test(size=(120, 30)) as pilot:
            await settled(pilot)
            await press(pilot, "1", "enter")
            assert session.plan.tasks
    written = faults.path.read_text()
    assert "while getting ready to look for better plans:" in written
    assert "RuntimeError: no process" in written
