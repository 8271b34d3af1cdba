"""Several stations log at once on one database for a simulated shift: nothing lost, none doubled.

    python -m benchmarks.stations --stations 6 --hours 8

Every station is a process with a session of its own, and presses for whoever and whatever it likes,
so that two often confirm the same thing. What each was told is held against what the log has.
Exits with 1 if anything is not as it should be.
"""

from __future__ import annotations

import argparse
import collections
import datetime as dt
import json
import random
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from floorboard.cli.compose import ShopPlanner
from floorboard.floor import events as e
from floorboard.floor.clock import FixedClock
from floorboard.floor.fold import fold
from floorboard.shop.errors import StaleFloor
from floorboard.store.sqlite_store import open_store
from floorboard.store.verify import verify
from floorboard.usecases.session import Session
from tests.tiny_shop import START, tiny_shop

if TYPE_CHECKING:
    from collections.abc import Sequence

    from floorboard.usecases.presses import Press

MOLDS = 8
# Flags that only a thing logged twice can bring about.
DOUBLED = {"twice", "one casting a mold"}


@dataclass(slots=True)
class Figures:
    """What a shift came to."""

    stations: int = 0
    acknowledged: int = 0
    refused: int = 0
    lost: int = 0
    doubled: int = 0
    wrong: list[str] = field(default_factory=list)
    seconds: float = 0.0
    sentence: str = ""

    @property
    def sound(self) -> bool:
        """Whether nothing was lost, doubled or wrong."""
        return not (self.lost or self.doubled or self.wrong)


class Tablet:
    """One station: it reads the floor, moves its clock to when something is due, and logs it."""

    def __init__(self, session: Session, clock: FixedClock, rng: random.Random) -> None:
        self.session, self.clock, self.rng = session, clock, rng
        self.told: list[str] = []
        self.refusals: list[str] = []

    def work(self, end: dt.datetime) -> None:
        """Log until a moment of the shift."""
        while self.clock.at < end:
            press = self.choose()
            self.clock.forward(self.rng.uniform(5, 120))
            try:
                entries = self.session.confirm(press) if press else self.something_else()
            except StaleFloor as refusal:
                self.refusals.append(str(refusal))
                self.session.refresh()
                continue
            self.told += [entry.id for entry in entries]

    def choose(self) -> Press | None:
        """Look at the floor, then take what the plan asks or any mold."""
        if self.rng.random() < 0.5:
            self.session.refresh()
        if self.session.floor.last_at is not None:
            self.clock.at = max(self.clock.at, self.session.floor.last_at)
        person = self.rng.choice(list(self.session.shop.people))
        if self.rng.random() < 0.1:
            return None
        if self.rng.random() < 0.3:
            self.session.replan()
            return self.session.press_for(person)
        mold = self.rng.choice(list(self.session.shop.molds))
        return self.session.press_for_mold(mold, person)

    def something_else(self) -> list[e.Entry]:
        """Reject a casting, which another may do at the same moment, or write a note."""
        castings = list(self.session.floor.open_castings())
        if castings and self.rng.random() < 0.5:
            casting = self.rng.choice(castings).serial
            event = e.CastingRejected(casting=casting, reason="other")
            return self.session.log_as_seen(None, event)
        return self.session.log(None, e.Noted(note="A note"))


def shift_shop() -> object:
    """Return the shop the stations share: four people, eight molds."""
    long_day = [{"days": "mon-sun", "start": "06:00", "end": "22:00"}]
    people = {key: {"name": key.title(), "shifts": long_day} for key in ("ana", "ben", "cy", "di")}
    molds = {f"m{n}": {"number": n, "piece": "bowl"} for n in range(1, MOLDS + 1)}
    return tiny_shop(people=people, molds=molds)


def work_as_station(path: Path, name: str, seed: int, hours: float) -> None:
    """Work a shift, then print what was acknowledged and what refused, as JSON."""
    clock = FixedClock(START)
    with open_store(path) as store:
        tablet = Tablet(Session(store, ShopPlanner(), clock, name), clock, random.Random(seed))
        tablet.work(START + dt.timedelta(hours=hours))
    print(json.dumps({"told": tablet.told, "refusals": tablet.refusals}))


def run_shift(folder: Path, stations: int, hours: float, seed: int = 1) -> Figures:
    """Let stations work one shift at once and hold what they were told against the log."""
    path = folder / "shift.db"
    with open_store(path) as store:
        store.load_shop(shift_shop(), source="", at=START, person=None, station="")
    begun = time.monotonic()
    workers = [
        subprocess.Popen(
            [sys.executable, "-m", "benchmarks.stations", "--work", str(path),
             "--seed", str(seed * 100 + number), "--hours", str(hours)],
            stdout=subprocess.PIPE,
            text=True,
        )
        for number in range(stations)
    ]  # fmt: skip
    reports = [worker.communicate()[0] for worker in workers]
    figures = Figures(stations=stations, seconds=time.monotonic() - begun)
    figures.wrong += [f"station {n} failed" for n, w in enumerate(workers) if w.returncode]
    if not figures.wrong:
        _compare(path, [json.loads(report) for report in reports], figures)
    return figures


def _compare(path: Path, reports: Sequence[dict[str, list[str]]], figures: Figures) -> None:
    told = collections.Counter(id_ for report in reports for id_ in report["told"])
    refusals = [sentence for report in reports for sentence in report["refusals"]]
    figures.acknowledged, figures.refused = told.total(), len(refusals)
    figures.sentence = refusals[0] if refusals else ""
    with open_store(path) as store:
        entries = store.latest(10**6)[::-1]
        kept = [entry.id for entry in entries[1:]]
        figures.lost = sum(1 for id_ in told if id_ not in set(kept))
        figures.doubled = len(kept) - len(set(kept)) + sum(n - 1 for n in told.values())
        unheard = set(kept) - set(told)
        if unheard:
            figures.wrong.append(f"{len(unheard)} entries nobody was told of")
        if [entry.seq for entry in entries] != list(range(1, len(entries) + 1)):
            figures.wrong.append("the log's numbers have gaps")
        builds = {c.build.digest(): c.build for c in store.floor().castings.values()}
        floor = fold(entries, builds)
        for casting in floor.castings.values():
            figures.doubled += sum(flag.rule in DOUBLED for flag in casting.flags)
    figures.wrong += [str(finding) for finding in verify(path)]


def main() -> None:
    """Run a shift and print its figures, or work as one of its stations."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--stations", type=int, default=6)
    parser.add_argument("--hours", type=float, default=8.0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--work", type=Path, help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.work is not None:
        work_as_station(given.work, f"tablet-{given.seed % 100}", given.seed, given.hours)
        return
    with tempfile.TemporaryDirectory(prefix="stations-") as folder:
        figures = run_shift(Path(folder), given.stations, given.hours, given.seed)
    print(f"stations      {figures.stations}, each a process; {given.hours:g} simulated hours")
    print(f"acknowledged  {figures.acknowledged} in {figures.seconds:.1f} s")
    print(f"lost          {figures.lost}")
    print(f"doubled       {figures.doubled}")
    print(f"refused       {figures.refused}, such as: {figures.sentence}")
    print(f"wrong         {len(figures.wrong)}")
    for sentence in figures.wrong[:20]:
        print(f"  {sentence}")
    sys.exit(0 if figures.sound else 1)


if __name__ == "__main__":
    main()
