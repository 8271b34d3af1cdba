"""Simulated days at speed with a restless user at the real app, on a real database.

    python -m benchmarks.soak

One board is kept open for 72 simulated hours, its screens opened and closed again and again; a
clock that is moved on by minutes stands for the machine's; a second station logs mishaps meanwhile.
Prints memory, file descriptors, threads, entries, faults and how far any countdown was off, over
the run. Exits with 1 if a fault came up, a countdown drifted, or memory, files or threads grew.
"""

from __future__ import annotations

import argparse
import asyncio
import collections
import datetime as dt
import random
import sys
import tempfile
import time
import traceback
from pathlib import Path
from typing import TYPE_CHECKING

from benchmarks.crew_days import Mishaps
from benchmarks.restless import RestlessUser
from benchmarks.soak_figures import Figures, objects_by_kind, sample_now
from floorboard.cli.compose import PastPlanner, ShopPlanner
from floorboard.cli.report_files import ReportFiles
from floorboard.floor.clock import FixedClock
from floorboard.floor.waits import next_wait
from floorboard.screens.app import BoardApp
from floorboard.screens.countdown import countdown
from floorboard.screens.fault_log import FaultLog
from floorboard.screens.floor_screen.board import Board
from floorboard.screens.floor_screen.floor_screen import FloorScreen
from floorboard.store.sqlite_store import open_store
from floorboard.store.verify import verify
from floorboard.usecases.demo_day import load_demo
from floorboard.usecases.session import Session

if TYPE_CHECKING:
    from collections.abc import Callable

    from textual.pilot import Pilot

HOURS = 72.0
# The floor looks the same to a person a minute or two later; so far the clock moves at a time.
LONGEST_STEP_SECONDS = 240.0
# Out of a hundred things done, so many are these; the rest are the restless user's.
CONFIRMS, MISHAPS = 35, 10
SAMPLE_HOURS, SAMPLES_AT_LEAST = 3.0, 4
SAMPLE_SIZE = (120, 40)
# Timers that were stopped hold their screen until the moment they were set for.
LINGER_SECONDS, LONG_RUN_HOURS = 6.0, 6.0
# By the seconds a countdown shows, or, from an hour on, by its minutes.
MOST_COUNTED_SECONDS = 3600
MINUTE = 60.0


class Soak:
    """One run on one database."""

    def __init__(
        self, folder: Path, hours: float, seed: int, say: Callable[[str], None], *, better: bool
    ) -> None:
        self.folder, self.hours, self.say, self.better = folder, hours, say, better
        self.rng = random.Random(seed)
        self.figures = Figures(hours=hours)
        self.faults = FaultLog(folder / "faults.log")
        self.linger_seconds = LINGER_SECONDS if hours >= LONG_RUN_HOURS else 0.0
        self.every_hours = min(SAMPLE_HOURS, hours / SAMPLES_AT_LEAST)
        self.next_sample = 0.0
        self.kinds: collections.Counter[str] = collections.Counter()

    async def run(self) -> Figures:
        """Run it; a board that ends before its time is opened anew."""
        begun = time.monotonic()
        path = self.folder / "soak.db"
        with open_store(path) as store, open_store(path) as other:
            with store.filling():
                start = load_demo(store)
            self.clock = FixedClock(start)
            self.start, self.end = start, start + dt.timedelta(hours=self.hours)
            planner = PastPlanner(path)
            self.session = Session(store, planner, self.clock, "bench")
            self.session.reports = ReportFiles(self.folder, store)
            self.betterer = planner.betterer if self.better else None
            tablet = Session(other, ShopPlanner(), self.clock, "tablet")
            self.mishaps = Mishaps(tablet, self.rng)
            while self.clock.at < self.end:
                await self.one_board()
            self.figures.entries = store.last_seq()
        self.figures.findings += [str(finding) for finding in verify(path)]
        if self.faults.path is not None and self.faults.path.exists():
            self.figures.faults += [
                line
                for line in self.faults.path.read_text().splitlines()
                if line and not line.startswith(" ")
            ]
        self.figures.seconds = time.monotonic() - begun
        return self.figures

    async def one_board(self) -> None:
        """Open the board and use it until the time is up, or until it is quit or breaks."""
        app = BoardApp(self.session, faults=self.faults, betterer=self.betterer)
        self.figures.openings += 1
        last = ""
        try:
            async with app.run_test(size=SAMPLE_SIZE) as pilot:
                user = RestlessUser(pilot, self.rng)
                user.seen = self.figures.screens
                await settled(pilot)
                while self.clock.at < self.end and app.is_running:
                    last = await self.one_action(pilot, user)
        except Exception as error:
            traceback.print_exc()
            self.figures.faults.append(f"after {last}: {type(error).__name__}: {error}"[:300])
            self.clock.forward(60)

    async def one_action(self, pilot: Pilot[None], user: RestlessUser) -> str:
        """Let time pass, then let someone do something."""
        self.clock.forward(self.rng.uniform(0, LONGEST_STEP_SECONDS))
        self.figures.actions += 1
        pilot.app.look_round()
        await settled(pilot)
        self.check_countdowns(pilot)
        await self.sample(pilot, user)
        chance = self.rng.randrange(100)
        if chance < CONFIRMS:
            done = await self.follow_plan(pilot, user)
        elif chance < CONFIRMS + MISHAPS:
            self.mishaps.session.refresh()
            self.mishaps.happen()
            done = "a mishap at the other station"
        else:
            done = await user.fidget()
        await settled(pilot)
        return done

    async def follow_plan(self, pilot: Pilot[None], user: RestlessUser) -> str:
        """Confirm what some person has to do next, whatever screen was open."""
        await user.leave()
        if not isinstance(pilot.app.screen, FloorScreen):
            return "could not leave"
        await user.press(*["asterisk"] * self.rng.randrange(3), "full_stop", "enter")
        return "confirmed"

    def check_countdowns(self, pilot: Pilot[None]) -> None:
        """Hold every countdown on the floor screen against the log's own moments."""
        screen = pilot.app.screen
        if not isinstance(screen, FloorScreen) or not pilot.app.size:
            return
        for row in screen.query_one(Board).rows:
            casting = self.session.floor.castings.get(row.casting)
            wait = next_wait(casting) if casting is not None else None
            if wait is None or row.state not in {"curing", "soon"}:
                continue
            self.figures.countdowns += 1
            left = (wait.opens_at - self.clock.at).total_seconds()
            self.figures.worst_drift_seconds = max(
                self.figures.worst_drift_seconds, off_by(row.countdown, left)
            )

    async def sample(self, pilot: Pilot[None], user: RestlessUser) -> None:
        """Note what the process holds, every so many simulated hours, with the floor alone open."""
        hours = (self.clock.at - self.start).total_seconds() / 3600
        if hours < self.next_sample:
            return
        self.next_sample = hours + self.every_hours
        # Each screen holds what it draws, so only samples of the same one can be compared.
        await user.leave()
        await pilot.resize_terminal(*SAMPLE_SIZE)
        await settled(pilot)
        await asyncio.sleep(self.linger_seconds)
        figures = self.figures
        figures.samples.append(sample_now(hours, self.session.store.last_seq()))
        self.say(f"{figures.samples[-1]}  {len(figures.faults)} faults")
        kinds = objects_by_kind()
        if len(figures.settled) <= 1:
            self.kinds = kinds
        figures.grown = (kinds - self.kinds).most_common(8)


def off_by(shown: str, left: float) -> float:
    """Return by how many seconds a countdown shown is away from the time left."""
    if shown == countdown(left):
        return 0.0
    minutes, _, seconds = shown.partition(":")
    if not seconds or not 0 <= left < MOST_COUNTED_SECONDS or not minutes.isdigit():
        return MINUTE
    return abs(int(minutes) * MINUTE + int(seconds) - left)


async def settled(pilot: Pilot[None]) -> None:
    """Wait until plans and counts being worked out are shown."""
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


def soak(
    folder: Path,
    hours: float,
    seed: int = 1,
    say: Callable[[str], None] = print,
    *,
    better: bool = True,
) -> Figures:
    """Run a soak and return its figures; `better` has a process look for better plans beside it."""
    return asyncio.run(Soak(folder, hours, seed, say, better=better).run())


def main() -> None:
    """Run a soak and print what came of it."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--hours", type=float, default=HOURS, help="simulated")
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="soak-") as folder:
        figures = soak(Path(folder), given.hours, given.seed, lambda line: print(line, flush=True))
    print(figures)
    sys.exit(0 if figures.sound else 1)


if __name__ == "__main__":
    main()
