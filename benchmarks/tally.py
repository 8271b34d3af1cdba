"""How long a tally takes, of a day and of a year, as the log grows. Printed, never asserted.

python -m benchmarks.tally            (ten minutes: it writes logs of up to 1,000,000 entries)
python -m benchmarks.tally --quick    (up to 100,000)
python -m benchmarks.tally FILE.db    (of databases at hand)
"""

from __future__ import annotations

import argparse
import datetime as dt
import statistics
import tempfile
import time
from pathlib import Path
from typing import TYPE_CHECKING

from benchmarks.synthetic_log import FIRST_DAY, write_database
from floorboard.store.history import History
from floorboard.store.sqlite_store import open_store
from floorboard.usecases.demo_day import demo_shop
from floorboard.usecases.tally import take_tally
from floorboard.usecases.tally_stretch import of_days

if TYPE_CHECKING:
    from floorboard.shop.shop import Shop

DAY_GOAL_MS, YEAR_GOAL_S = 100.0, 3.0
TIMES = 5


def forty_molds() -> Shop:
    """The demo shop with five molds where it has one."""
    shop = demo_shop()
    molds = {
        f"{key}-{copy}": mold.model_copy(update={"number": 100 * copy + mold.number})
        for copy in range(5)
        for key, mold in shop.molds.items()
    }
    return shop.model_copy(update={"molds": molds})


def tally_seconds(path: Path, shop: Shop, first: dt.date, last: dt.date) -> float:
    """Return the median of some runs, opening the history included."""
    stretch, title = of_days(shop, first, last, dt.datetime(2099, 1, 1, tzinfo=dt.UTC))
    taken = []
    for _ in range(TIMES):
        start = time.perf_counter()
        with History(path) as history:
            take_tally(history, shop, stretch, title)
        taken.append(time.perf_counter() - start)
    return statistics.median(taken)


def measure(path: Path) -> None:
    """Print one line for a database."""
    with open_store(path) as store:
        shop, entries, last_at = store.shop(), store.last_seq(), store.floor().last_at
    assert shop is not None
    assert last_at is not None
    last = last_at.date()
    middle = FIRST_DAY.date() + (last - FIRST_DAY.date()) / 2
    while middle.weekday() > 4:
        middle += dt.timedelta(days=1)
    day = 1000 * tally_seconds(path, shop, middle, middle)
    today = 1000 * tally_seconds(path, shop, last, last)
    year = tally_seconds(path, shop, max(FIRST_DAY.date(), last - dt.timedelta(days=364)), last)
    print(
        f"{entries:>9,} entries: a day {day:6.1f} ms, the last day {today:6.1f} ms"
        f" (goal {DAY_GOAL_MS:.0f}), the last year {year:5.2f} s (goal {YEAR_GOAL_S:.0f})"
    )


def main() -> None:
    """Write the logs, or take the databases given, and print a line each."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("files", nargs="*", type=Path)
    parser.add_argument("--quick", action="store_true")
    arguments = parser.parse_args()
    if arguments.files:
        for path in arguments.files:
            measure(path)
        return
    with tempfile.TemporaryDirectory() as folder:
        for count in (10_000, 100_000) if arguments.quick else (10_000, 100_000, 1_000_000):
            path = Path(folder) / f"{count}.db"
            write_database(path, count, forty_molds())
            measure(path)


if __name__ == "__main__":
    main()
