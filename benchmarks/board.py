"""How quick the board is: first frame, keys, ticks, bytes, memory. Printed, never asserted.

Everything is timed from outside, on a pseudo-terminal, against a bare app of the same framework
with as many cards, in the same run and in turns, so that the ratios hold on a busy machine.

Run: python -m benchmarks.board [--quick]
"""

from __future__ import annotations

import os
import signal
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import TYPE_CHECKING

from benchmarks.board_floors import fill
from benchmarks.on_pty import OnPty

if TYPE_CHECKING:
    import datetime as dt

FIRST_FRAME_GOAL = 1.5
KEY_GOAL_MS = 20.0
TICK_GOAL_PERCENT = 2.0
FLAT_WITHIN = 0.10

BARE = """
import sys
from textual.app import App
from textual.containers import VerticalScroll
from textual.widgets import Static

class Bare(App):
    def compose(self):
        with VerticalScroll():
            for number in range(int(sys.argv[1])):
                yield Static(f"card {number + 1} READY", id=f"card-{number}")

    typed = ""

    def on_key(self, event):
        self.typed = (self.typed + event.key)[-4:]
        self.query_one("#card-0", Static).update(f"mold {self.typed}", layout=False)

Bare().run()
"""
BOARD = """
import datetime, sys
import gc, os
gc.disable()
os.environ["PYDANTIC_DISABLE_PLUGINS"] = "true"
from floorboard.cli.compose import open_database
from floorboard.floor.clock import FastClock
from floorboard.screens.app import BoardApp
from floorboard.usecases.session import Session
from benchmarks.board_floors import FirstPlan

clock = FastClock(datetime.datetime.fromisoformat(sys.argv[2]), 1.0)
BoardApp(Session(open_database(sys.argv[1]), FirstPlan(), clock, "bench")).run()
"""
SOLVE = """
import datetime, os, sys, time
from floorboard.cli.compose import open_database
from floorboard.floor.clock import FixedClock
from floorboard.planning.improve import Improver
from floorboard.planning.planner import plan_shop
from floorboard.usecases.session import Session
from benchmarks.board_floors import NoPlanner

at = datetime.datetime.fromisoformat(sys.argv[2])
session = Session(open_database(sys.argv[1]), NoPlanner(), FixedClock(at), "bench")
plan = plan_shop(session.shop, session.floor, at)
improver = Improver()
print("SOLVING", flush=True)
while True:
    improver.start(session.shop, session.floor, at, plan, seconds=600)
    while improver.busy:
        improver.poll()
        time.sleep(0.2)
"""


def board(database: Path, at: dt.datetime, columns: int = 120, rows: int = 40) -> OnPty:
    """Open the board on a database."""
    return OnPty([sys.executable, "-c", BOARD, str(database), at.isoformat()], columns, rows)


def command(database: Path) -> OnPty:
    """Run the command itself, as a person would."""
    return OnPty(
        [sys.executable, "-m", "floorboard", "--database", str(database), "--station", "bench"],
        120,
        40,
    )


def bare(cards: int, columns: int = 120, rows: int = 40) -> OnPty:
    """Open the bare app with so many cards."""
    return OnPty([sys.executable, "-c", BARE, str(cards)], columns, rows)


def percentile(values: list[float], share: float) -> float:
    """Return the least value that so large a share of the values does not exceed."""
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, int(share * len(ordered)))]


def first_frames(database: Path, molds: int, times: int) -> None:
    """Time both apps from their start to the first frame with a card or a mold on it.

    The board's first frame is its first look at the floor; when it takes keys is printed besides.
    """
    ours: list[float] = []
    takes_keys: list[float] = []
    theirs: list[float] = []
    for _ in range(times):
        with command(database) as running:
            ours.append(running.until(b"layer 1") - running.started)
            takes_keys.append(running.until(b"would strike") - running.started)
        with bare(molds) as running:
            theirs.append(running.until(b"READY") - running.started)
    a, b = statistics.median(ours), statistics.median(theirs)
    print(
        f"first frame, {molds} molds: {a * 1000:.0f} ms, bare app {b * 1000:.0f} ms, "
        f"ratio {a / b:.2f} (goal {FIRST_FRAME_GOAL}); "
        f"keys are taken after {statistics.median(takes_keys) * 1000:.0f} ms"
    )


def keys(database: Path, at: dt.datetime, molds: int, times: int, *, solving: bool) -> None:
    """Time a digit from the key to the cell that shows it, on the board and on the bare app."""
    solver = None
    if solving:
        command = [sys.executable, "-c", SOLVE, str(database), at.isoformat()]
        solver = subprocess.Popen(
            command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, start_new_session=True
        )
        assert solver.stdout is not None
        solver.stdout.readline()
        time.sleep(3.0)
    with board(database, at) as running:
        running.until(b"Confirm")
        ours = typed_digits(running, times)
    with bare(molds) as running:
        running.until(b"READY")
        theirs = typed_digits(running, times)
    if solver is not None:
        os.killpg(solver.pid, signal.SIGTERM)
        solver.wait()
    p50, p95 = percentile(ours, 0.5), percentile(ours, 0.95)
    print(
        f"key to cell, {molds} molds, {'solving' if solving else 'idle'}: p50 {p50:.1f} ms, "
        f"p95 {p95:.1f} ms (goal {KEY_GOAL_MS:.0f}), most {max(ours):.1f} ms; bare app p50 "
        f"{percentile(theirs, 0.5):.1f}, p95 {percentile(theirs, 0.95):.1f} ms; "
        f"ratios {p50 / percentile(theirs, 0.5):.1f}, {p95 / percentile(theirs, 0.95):.1f}"
    )


def typed_digits(running: OnPty, times: int) -> list[float]:
    """Type so many digits, and return for each how long it took to show, in milliseconds."""
    running.drain(6.0)
    typed, spans = "", []
    for index in range(times):
        digit = str(index * 7 % 9 + 1)
        typed = (typed + digit)[-4:]
        pressed = running.press(digit.encode())
        spans.append((running.until(f"mold {typed}".encode()) - pressed) * 1000)
        # At no fixed moment of the second, so that some keys meet a tick.
        running.drain(0.08 + 0.11 * (index * 0.618 % 1.0))
    return spans


def ticks(database: Path, at: dt.datetime, molds: int, seconds: float) -> None:
    """Measure what a board that nobody touches costs: processor, bytes written."""
    with board(database, at, 200, 62) as running:
        running.until(b"Confirm")
        running.drain(8.0)
        before = running.cpu_seconds()
        count = running.drain(seconds)
        share = (running.cpu_seconds() - before) / seconds * 100
    with bare(molds, 200, 62) as running:
        running.until(b"READY")
        running.drain(3.0)
        before = running.cpu_seconds()
        running.drain(seconds)
        idle = (running.cpu_seconds() - before) / seconds * 100
    print(
        f"tick, {molds} molds at 200x62: {share:.2f} % of a core (goal {TICK_GOAL_PERCENT:.0f}; "
        f"bare app standing still {idle:.2f} %), {count / seconds / 1000:.1f} KB a tick"
    )


def memory(hours: float) -> None:
    """Run a board through simulated hours of work and print what it holds at the hours."""
    program = [sys.executable, "-m", "benchmarks.board_hours", str(hours)]
    print(subprocess.run(program, capture_output=True, text=True, check=True).stdout, end="")


def main() -> None:
    """Print all figures."""
    quick = "--quick" in sys.argv
    with tempfile.TemporaryDirectory() as folder:
        for molds in (12, 40, 100):
            database = Path(folder) / f"{molds}.db"
            at = fill(database, molds)
            first_frames(database, molds, 3 if quick else 9)
            for solving in (False, True):
                keys(database, at, molds, 20 if quick else 80, solving=solving)
        database = Path(folder) / "200.db"
        at = fill(database, 200)
        ticks(database, at, 200, 10.0 if quick else 40.0)
    memory(2.0 if quick else 8.0)


if __name__ == "__main__":
    main()
