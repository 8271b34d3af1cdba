"""The store against bare sqlite3, and against itself with a longer log. Printed, never asserted.

python -m benchmarks.store            (some minutes: it writes logs of up to 1,000,000 entries)
python -m benchmarks.store --quick    (up to 100,000)
"""

from __future__ import annotations

import argparse
import datetime as dt
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import TYPE_CHECKING

from benchmarks.synthetic_log import write_database
from floorboard.floor import events as e
from floorboard.store.sqlite_store import open_store
from floorboard.store.verify import quick_check

if TYPE_CHECKING:
    from collections.abc import Callable

APPENDS, WARM = 450, 50
ENTRY_GOAL, OPEN_GOAL, DAY_GOAL_MS, YEAR_GOAL_S = 2.0, 1.5, 100.0, 3.0

RAW_TABLE = (
    "CREATE TABLE entries (seq INTEGER PRIMARY KEY, id TEXT NOT NULL, at TEXT NOT NULL,"
    " kind TEXT NOT NULL, person TEXT, station TEXT NOT NULL, data TEXT NOT NULL) STRICT",
    "CREATE UNIQUE INDEX entries_id ON entries (id)",
    "CREATE INDEX entries_at ON entries (at)",
)
COUNTS = """
    SELECT piece, count(*), sum(demolded_at >= :start AND demolded_at < :end),
        sum(finished_at >= :start AND finished_at < :end),
        sum(rejected_at >= :start AND rejected_at < :end)
    FROM castings WHERE serial IN (
        SELECT serial FROM castings WHERE begun_at >= :start AND begun_at < :end
        UNION SELECT serial FROM castings WHERE demolded_at >= :start AND demolded_at < :end
        UNION SELECT serial FROM castings WHERE finished_at >= :start AND finished_at < :end
        UNION SELECT serial FROM castings WHERE rejected_at >= :start AND rejected_at < :end
    ) GROUP BY piece
"""
WORK = """
    SELECT person, kind, piece, count(*) FROM works
    WHERE ended_at >= :start AND ended_at < :end GROUP BY person, kind, piece
"""
USED = """
    SELECT material, kind, total(grams) FROM stock
    WHERE at >= :start AND at < :end GROUP BY material, kind
"""


def median_ms(work: Callable[[], object], times: int) -> float:
    """Return the median of so many runs, in milliseconds."""
    return statistics.median(milliseconds(work) for _ in range(times))


def milliseconds(work: Callable[[], object]) -> float:
    """Run once and return how long it took."""
    start = time.perf_counter()
    work()
    return (time.perf_counter() - start) * 1000


class RawTable:
    """One row a commit through sqlite3 alone, with WAL and synchronous FULL."""

    def __init__(self, folder: Path) -> None:
        self.connection = sqlite3.connect(folder / "raw.db", isolation_level=None)
        self.connection.execute("PRAGMA journal_mode = WAL").fetchone()
        self.connection.execute("PRAGMA synchronous = FULL")
        for statement in RAW_TABLE:
            self.connection.execute(statement)

    def insert(self, number: int) -> None:
        """Insert a row as long as an entry."""
        at = f"2026-03-12T08:{number // 60 % 60:02d}:{number % 60:02d}.123456+00:00"
        data = '{"casting":"240108-05","layer":2,"batch":"B240108-14","grams":689.7276813152989}'
        self.connection.execute("BEGIN IMMEDIATE")
        self.connection.execute(
            "INSERT INTO entries (id, at, kind, person, station, data) VALUES (?, ?, ?, ?, ?, ?)",
            (f"{number:032x}", at, "layer applied", "maia", "bench", data),
        )
        self.connection.execute("COMMIT")


def durable_entries(path: Path) -> tuple[list[float], list[float]]:
    """Time entries of whole castings, an append each, and raw inserts in turn with them."""
    ours, bare = [], []
    with tempfile.TemporaryDirectory(dir=path.parent) as folder, open_store(path) as store:
        raw, shop, floor = RawTable(Path(folder)), store.shop(), store.floor()
        assert shop is not None
        assert floor.last_at is not None
        casting = next(iter(floor.castings.values()))
        events = _castings_worth(casting.mold, casting.piece_id, casting.build.digest())
        for number, event in enumerate(events):
            moment = floor.last_at + dt.timedelta(seconds=20 * number)
            ours.append(
                milliseconds(
                    lambda event=event, moment=moment: store.append(  # type: ignore[misc]
                        [(moment, event)], logged_at=moment, person="bench", station="bench"
                    )
                )
            )
            bare.append(milliseconds(lambda number=number: raw.insert(number)))  # type: ignore[misc]
        raw.connection.close()
    return ours[WARM:], bare[WARM:]


def _castings_worth(mold: str, piece: str, digest: str) -> list[e.AnyEvent]:
    events: list[e.AnyEvent] = []
    number = 0
    while len(events) < APPENDS:
        number += 1
        casting, batch = f"bench-{number}", f"bench-B{number}"
        events += [
            e.CastingBegun(casting=casting, mold=mold, piece=piece, build=digest),
            e.MoldReadied(casting=casting),
            e.BatchBegun(
                batch=batch,
                mix="grey",
                servings=(e.Serving(casting=casting, layer=0, grams=300),),
                grams=300,
                working_seconds=600,
            ),
            e.MaterialWeighed(batch=batch, material="powder", target_grams=200, grams=201),
            e.BatchWetted(batch=batch),
            e.LayerBegun(casting=casting, layer=0, batch=batch),
            e.LayerApplied(casting=casting, layer=0, batch=batch),
            e.CastingWeighed(casting=casting, grams=1234),
            e.CastingRejected(casting=casting, reason="void"),
        ]
    return events


OPENING = """
import time, sys
from floorboard.store.sqlite_store import open_store
spans = []
for _ in range(15):
    start = time.perf_counter()
    with open_store(sys.argv[1]) as store:
        store.shop(), store.floor(), store.latest()
    spans.append((time.perf_counter() - start) * 1000)
print(sorted(spans)[7])
"""


def opening(path: Path) -> float:
    """Time opening, the shop, the floor and the log pane, in a process of its own; ms."""
    said = subprocess.run(
        [sys.executable, "-c", OPENING, str(path)], check=True, capture_output=True, text=True
    )
    return float(said.stdout)


def tallies(path: Path) -> tuple[float, float]:
    """Time the queries behind a day's tally (ms) and a year's (s), in the midst of the log."""
    connection = sqlite3.connect(path)
    middle = connection.execute(
        "SELECT at FROM entries WHERE seq = (SELECT max(seq) / 2 FROM entries)"
    ).fetchone()[0]
    day = dt.datetime.fromisoformat(middle).replace(hour=0, minute=0, second=0, microsecond=0)
    spans = []
    for days in (1, 365):
        start = day - dt.timedelta(days=days // 2)
        bounds = {
            "start": start.isoformat(timespec="microseconds"),
            "end": (start + dt.timedelta(days=days)).isoformat(timespec="microseconds"),
        }

        def tally(bounds: dict[str, str] = bounds) -> None:
            for query in (COUNTS, WORK, USED):
                connection.execute(query, bounds).fetchall()

        spans.append(median_ms(tally, 5))
    connection.close()
    return spans[0], spans[1] / 1000


def _spread(spans: list[float]) -> str:
    return f"{statistics.median(spans):.2f} ms (p95 {statistics.quantiles(spans, n=20)[-1]:.2f})"


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="no log of 1,000,000 entries")
    quick = parser.parse_args().quick
    with tempfile.TemporaryDirectory() as name:
        _run(Path(name), quick=quick)


def _run(folder: Path, *, quick: bool) -> None:
    paths = {}
    for count in (2_000, 10_000, 100_000, 200_000) + (() if quick else (1_000_000,)):
        paths[count] = folder / f"{count}.db"
        start = time.perf_counter()
        write_database(paths[count], count)
        size = paths[count].stat().st_size / 1e6
        print(f"  (log of {count}: {time.perf_counter() - start:.1f} s to write, {size:.0f} MB)")
    for count in (2_000, 200_000):
        ours, raw = durable_entries(paths[count])
        ratio = statistics.median(ours) / statistics.median(raw)
        print(
            f"durable entry on a log of {count}: {_spread(ours)}, raw insert {_spread(raw)}: "
            f"{ratio:.2f}x, goal {ENTRY_GOAL}x"
        )
    short, long = opening(paths[2_000]), opening(paths[200_000])
    print(
        f"open 200,000 / 2,000 entries: {long:.1f} / {short:.1f} ms: {long / short:.2f}x, "
        f"goal {OPEN_GOAL}x"
    )
    for count in sorted(paths):
        if count in {2_000, 200_000}:
            continue
        day, year = tallies(paths[count])
        print(
            f"tally over {count}: day {day:.1f} ms (goal {DAY_GOAL_MS:.0f}), "
            f"year {year:.2f} s (goal {YEAR_GOAL_S:.0f})"
        )
    for count in (2_000, max(paths)):
        start = time.perf_counter()
        found = quick_check(paths[count])
        print(f"quick check of {count}: {time.perf_counter() - start:.2f} s, {len(found)} findings")


if __name__ == "__main__":
    main()
