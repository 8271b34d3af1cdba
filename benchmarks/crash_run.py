"""Kill the program at random moments, open what it left, and compare with what it acknowledged.

    python -m benchmarks.crash_run --kills 500

Every acknowledged entry must be there, none twice, and the floor with its countdowns must be the
fold of the log. Exits with 1 if anything is not as it should be.
"""

from __future__ import annotations

import argparse
import contextlib
import datetime as dt
import os
import random
import signal
import statistics
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from benchmarks.crash_day import Station
from floorboard.floor.fold import fold
from floorboard.floor.standing import standings
from floorboard.shop.errors import StoreError
from floorboard.store.sqlite_store import open_store
from floorboard.store.verify import verify

if TYPE_CHECKING:
    from floorboard.floor.events import Entry
    from floorboard.store.sqlite_store import SqliteStore

# A database is killed so often before a fresh one is taken; the first kills fall into its making.
KILLS_A_DAY = 10
# Every so many kills the station is the program started anew rather than a fork of this one.
EXEC_EVERY = 5
VERIFY_EVERY = 5
LONGEST_RUN_SECONDS = 0.2
AT_ANY_MOMENT = 0.3


@dataclass(slots=True)
class Figures:
    """What a run came to."""

    kills: int = 0
    acknowledged: int = 0
    in_the_log: int = 0
    unheard: int = 0
    lost: int = 0
    doubled: int = 0
    wrong: list[str] = field(default_factory=list)
    opening_ms: list[float] = field(default_factory=list)

    @property
    def sound(self) -> bool:
        """Whether nothing was lost, doubled or wrong."""
        return not (self.lost or self.doubled or self.wrong)

    def __str__(self) -> str:
        opening = statistics.median(self.opening_ms) if self.opening_ms else 0.0
        lines = [
            f"kills survived         {self.kills}",
            f"entries acknowledged   {self.acknowledged}",
            f"entries in the logs    {self.in_the_log}",
            f"  of them unheard of   {self.unheard} (logged, killed before it was said)",
            f"lost                   {self.lost}",
            f"doubled                {self.doubled}",
            f"states not the fold    {len(self.wrong)}",
            f"opening after a kill   {opening:.1f} ms (median)",
        ]
        return "\n".join(lines + self.wrong[:20])


@dataclass(slots=True)
class Day:
    """One database and what was acknowledged on it: entry id to (number, number it strikes)."""

    path: Path
    heard: dict[str, tuple[int, int]] = field(default_factory=dict)


def crash_run(
    kills: int, *, seed: int = 1, stations: int = 1, exec_every: int = EXEC_EVERY
) -> Figures:
    """Kill stations so many times and return what it came to.

    Parameters
    ----------
    stations
        How many work on one database at once; all are killed at the same moment.
    exec_every
        Every so many kills the stations are started as programs; 0 for never.
    """
    # At hand before any station is forked, for making a database needs it.
    import sqlite_utils  # noqa: F401

    rng, figures = random.Random(seed), Figures()
    with tempfile.TemporaryDirectory() as folder:
        day = Day(Path(folder) / "0.db")
        for number in range(kills):
            if number % KILLS_A_DAY == 0:
                _end_day(day, figures)
                day = Day(Path(folder) / f"{number}.db")
            executed = exec_every > 0 and number % exec_every == exec_every - 1
            heard = _run_and_kill(day, rng, stations, executed=executed)
            figures.kills += 1
            figures.doubled += len(heard) - len({id_ for id_, *_ in heard} - day.heard.keys())
            day.heard.update({id_: (seq, struck) for id_, seq, struck in heard})
            _check(day, figures, whole=number % VERIFY_EVERY == 0)
        _end_day(day, figures)
    return figures


def _run_and_kill(
    day: Day, rng: random.Random, stations: int, *, executed: bool
) -> list[tuple[str, int, int]]:
    """Start stations, kill them after a random while, and return what they acknowledged."""
    reading, writing = os.pipe()
    seeds = [rng.randrange(10**9) for _ in range(stations)]
    if executed:
        running = [_execute(day.path, seed, writing) for seed in seeds]
    else:
        running = [_fork(day.path, seed, reading, writing) for seed in seeds]
    os.close(writing)
    # Now and then they are killed at any moment, also while they open or make the database; mostly
    # once one of them has logged something.
    at_any_moment = not executed and rng.random() < AT_ANY_MOMENT
    first = b"" if at_any_moment else os.read(reading, 4096)
    time.sleep(rng.uniform(0, LONGEST_RUN_SECONDS))
    for pid in running:
        with contextlib.suppress(ProcessLookupError):
            os.kill(pid, signal.SIGKILL)
    for pid in running:
        os.waitpid(pid, 0)
    said = first
    while more := os.read(reading, 65536):
        said += more
    os.close(reading)
    lines = [line.split() for line in said.decode().splitlines()]
    return [(id_, int(seq), int(struck)) for id_, seq, struck in lines]


def _fork(path: Path, seed: int, reading: int, writing: int) -> int:
    pid = os.fork()
    if pid == 0:
        try:
            os.close(reading)
            Station(str(path), seed, writing).work()
        finally:
            os._exit(3)
    return pid


def _execute(path: Path, seed: int, writing: int) -> int:
    command = [sys.executable, "-m", "benchmarks.crash_day", str(path), str(seed), str(writing)]
    process = subprocess.Popen(command, pass_fds=(writing,))
    # The caller waits for it by its number.
    process.returncode = 0
    return process.pid


def _check(day: Day, figures: Figures, *, whole: bool) -> None:
    """Open what was left and compare."""
    start = time.perf_counter()
    try:
        with open_store(day.path) as store:
            floor = store.floor()
            figures.opening_ms.append((time.perf_counter() - start) * 1000)
            entries = store.latest(10**9)[::-1]
            _compare_entries(day, entries, figures)
            _compare_floor(store, entries, figures)
            assert floor.last_seq == len(entries)
    except StoreError as error:
        figures.wrong.append(f"{day.path.name}: {error}")
    if whole:
        figures.wrong += [f"{day.path.name}: {finding}" for finding in verify(day.path)]


def _compare_entries(day: Day, entries: list[Entry], figures: Figures) -> None:
    found = {entry.id: entry for entry in entries}
    figures.doubled += len(entries) - len(found)
    for id_, (seq, struck) in day.heard.items():
        entry = found.get(id_)
        if entry is None or entry.seq != seq:
            figures.lost += 1
        elif struck and entries[struck - 1].struck_by != seq:
            figures.wrong.append(f"{day.path.name}: entry {struck} is not struck by {seq}")
    if [entry.seq for entry in entries] != list(range(1, len(entries) + 1)):
        figures.wrong.append(f"{day.path.name}: the numbers have gaps")


def _compare_floor(store: SqliteStore, entries: list[Entry], figures: Figures) -> None:
    floor, whole = store.floor(), fold(entries, store.builds)
    for what, ours, theirs in (
        ("castings", list(floor.open_castings()), list(whole.open_castings())),
        ("batches", list(floor.open_batches()), list(whole.open_batches())),
        ("tasks in hand", list(floor.all_in_hand()), list(whole.all_in_hand())),
        ("molds", floor.molds, whole.molds),
        ("flags", floor.flags, whole.flags),
    ):
        if ours != theirs:
            figures.wrong.append(f"{store.path.name}: {what} are not the fold's")
    now = (floor.last_at or dt.datetime.now(dt.UTC)) + dt.timedelta(minutes=10)
    shop = store.shop()
    if shop is not None and standings(shop, floor, now) != standings(shop, whole, now):
        figures.wrong.append(f"{store.path.name}: countdowns are not the fold's")


def _end_day(day: Day, figures: Figures) -> None:
    if not day.path.exists():
        return
    with open_store(day.path) as store:
        count = store.last_seq()
    figures.acknowledged += len(day.heard)
    figures.in_the_log += count
    figures.unheard += count - len(day.heard)
    figures.wrong += [f"{day.path.name}: {finding}" for finding in verify(day.path)]


def main() -> None:
    """Run, print the figures, and exit with 1 if anything is not as it should be."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=500)
    parser.add_argument("--stations", type=int, default=1, help="how many log at once")
    parser.add_argument("--seed", type=int, default=1)
    arguments = parser.parse_args()
    figures = crash_run(arguments.kills, seed=arguments.seed, stations=arguments.stations)
    print(figures)
    sys.exit(0 if figures.sound else 1)


if __name__ == "__main__":
    main()
