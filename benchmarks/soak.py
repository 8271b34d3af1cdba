"""Simulated days at speed with a restless user at the real app, on a real database.

    python -m benchmarks.soak --hours 72

A clock that is moved on by minutes stands for the machine's; a second station logs mishaps
meanwhile. Prints memory, file descriptors, threads, entries, faults and how far any countdown was
off, over the run. Exits with 1 if a fault came up, a countdown drifted, or memory kept growing.
"""

from __future__ import annotations

import argparse
import asyncio
import datetime as dt
import gc
import os
import random
import statistics
import sys
import tempfile
import threading
import time
import traceback
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from benchmarks.crew_days import Mishaps
from benchmarks.restless import RestlessUser
from floorboard.cli.compose import ShopPlanner
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

# The floor looks the same to a person a minute or two later; so far the clock moves at a time.
LONGEST_STEP_SECONDS = 240.0
SAMPLE_HOURS = 6.0
# What the app holds settles within the first part of a run.
WARM_UP_SHARE = 0.34
LARGEST_GROWTH = 0.06


@dataclass(frozen=True, slots=True)
class Sample:
    """What the process held at one moment of the run."""

    hours: float
    megabytes: float
    files: int
    threads: int
    objects: int
    entries: int


@dataclass(slots=True)
class Figures:
    """What a run came to."""

    hours: float = 0.0
    actions: int = 0
    entries: int = 0
    openings: int = 0
    countdowns: int = 0
    worst_drift_seconds: float = 0.0
    faults: list[str] = field(default_factory=list)
    findings: list[str] = field(default_factory=list)
    samples: list[Sample] = field(default_factory=list)
    seconds: float = 0.0

    def growth(self) -> float:
        """Return by what share memory grew after the warm-up, first half of the rest to second."""
        settled = [s for s in self.samples if s.hours >= self.hours * WARM_UP_SHARE]
        if len(settled) < 4:
            return 0.0
        half = len(settled) // 2
        before = statistics.mean(s.megabytes for s in settled[:half])
        after = statistics.mean(s.megabytes for s in settled[half:])
        return after / before - 1

    @property
    def sound(self) -> bool:
        """Whether nothing went wrong and nothing kept growing."""
        return (
            not self.faults
            and not self.findings
            and self.worst_drift_seconds <= 1.0
            and self.growth() <= LARGEST_GROWTH
            and len({s.files for s in self.samples[1:]}) <= 3
        )


class Soak:
    """One run on one database."""

    def __init__(self, folder: Path, hours: float, seed: int, say: Callable[[str], None]) -> None:
        self.folder, self.hours, self.say = folder, hours, say
        self.rng = random.Random(seed)
        self.figures = Figures(hours=hours)
        self.faults = FaultLog(folder / "faults.log")

    async def run(self) -> Figures:
        """Run it; the board is closed and opened again now and then."""
        begun = time.monotonic()
        path = self.folder / "soak.db"
        with open_store(path) as store, open_store(path) as other:
            with store.filling():
                start = load_demo(store)
            self.clock = FixedClock(start)
            self.start, self.end = start, start + dt.timedelta(hours=self.hours)
            self.session = Session(store, ShopPlanner(), self.clock, "bench")
            self.session.reports = ReportFiles(self.folder, store)
            tablet = Session(other, ShopPlanner(), self.clock, "tablet")
            self.mishaps = Mishaps(tablet, self.rng)
            self.next_sample = 0.0
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
        """Open the board and use it until it is quit, the time is up or it breaks."""
        app = BoardApp(self.session, faults=self.faults)
        self.figures.openings += 1
        last = ""
        try:
            async with app.run_test(size=(120, 40)) as pilot:
                user = RestlessUser(pilot, self.rng)
                await settled(pilot)
                until = min(self.end, self.clock.at + dt.timedelta(hours=self.rng.uniform(1, 12)))
                while self.clock.at < until:
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
        self.sample()
        chance = self.rng.random()
        if chance < 0.35:
            done = await self.follow_plan(pilot, user)
        elif chance < 0.45:
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
        floor_screens = [s for s in pilot.app.screen_stack if isinstance(s, FloorScreen)]
        if not floor_screens or pilot.app.screen is not floor_screens[0] or not pilot.app.size:
            return
        floor, now = self.session.floor, self.clock.at
        for row in floor_screens[0].query_one(Board).rows:
            casting = floor.castings.get(row.casting)
            wait = next_wait(casting) if casting is not None else None
            if wait is None or row.state not in {"curing", "soon"}:
                continue
            self.figures.countdowns += 1
            left = (wait.opens_at - now).total_seconds()
            if row.countdown != countdown(left):
                self.figures.worst_drift_seconds = max(self.figures.worst_drift_seconds, 1.5)

    def sample(self) -> None:
        """Note what the process holds, every so many simulated hours."""
        hours = (self.clock.at - self.start).total_seconds() / 3600
        if hours < self.next_sample:
            return
        self.next_sample = hours + min(SAMPLE_HOURS, max(0.25, self.hours / 12))
        gc.collect()
        sample = Sample(
            hours,
            resident_megabytes(),
            len(os.listdir("/proc/self/fd")),
            threading.active_count(),
            len(gc.get_objects()),
            self.session.store.last_seq(),
        )
        self.figures.samples.append(sample)
        self.say(
            f"{sample.hours:6.1f} h  {sample.megabytes:7.1f} MB  {sample.files:3} files  "
            f"{sample.threads:3} threads  {sample.objects:8} objects  {sample.entries:6} entries  "
            f"{len(self.figures.faults)} faults"
        )


async def settled(pilot: Pilot[None]) -> None:
    """Wait until plans and counts being worked out are shown."""
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


def resident_megabytes() -> float:
    """Return this process's resident memory, from /proc."""
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


def soak(folder: Path, hours: float, seed: int = 1, say: Callable[[str], None] = print) -> Figures:
    """Run a soak and return its figures."""
    return asyncio.run(Soak(folder, hours, seed, say).run())


def main() -> None:
    """Run a soak and print what came of it."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--hours", type=float, default=72.0, help="simulated")
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="soak-") as folder:
        figures = soak(Path(folder), given.hours, given.seed)
    print(f"simulated     {figures.hours:g} h in {figures.seconds:.0f} s")
    print(f"actions       {figures.actions}, the board opened {figures.openings} times")
    print(f"entries       {figures.entries}")
    print(
        f"countdowns    {figures.countdowns} checked, worst off by {figures.worst_drift_seconds:g} s"
    )
    print(f"memory        {figures.growth():+.1%} after warming up")
    print(f"log           {len(figures.findings)} findings")
    print(f"faults        {len(figures.faults)}")
    for sentence in [*figures.findings, *figures.faults][:20]:
        print(f"  {sentence}")
    sys.exit(0 if figures.sound else 1)


if __name__ == "__main__":
    main()
