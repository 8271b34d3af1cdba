"""The mix desk on a real store with a long log: tickets, traces, the account. Printed, not asserted.

Run: python -m benchmarks.mix_desk [--entries 200000]
"""

from __future__ import annotations

import argparse
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from benchmarks.synthetic_log import write_database
from benchmarks.ticket import TICKET_GOAL_MS, TRACE_GOAL_MS, median_ms
from floorboard.cli.compose import ShopPlanner
from floorboard.floor import events as e
from floorboard.floor.clock import FixedClock
from floorboard.store.sqlite_store import open_store
from floorboard.usecases.batch_ticket import ticket_of
from floorboard.usecases.costs import CostBook
from floorboard.usecases.session import Session
from floorboard.usecases.stock_book import StockBook
from floorboard.usecases.traces import trace_casting, trace_lot

if TYPE_CHECKING:
    from collections.abc import Callable


def measure(path: Path) -> list[tuple[str, float, float | None]]:
    """Return what was measured, in ms, and its goal where it has one."""
    store = open_store(path)
    shop = store.shop()
    assert shop is not None
    last = store.latest(1)[0]
    session = Session(store, ShopPlanner(), FixedClock(last.at), "bench")
    weighed = [x for x in store.latest(5000) if isinstance(x.event, e.MaterialWeighed)][-1].event
    assert isinstance(weighed, e.MaterialWeighed)
    assert weighed.lot is not None
    lot, material = weighed.lot, weighed.material
    casting = trace_lot(store, shop, lot, material).castings[0]
    key = next(
        (c.serial, min(c.layers_applied, len(c.coats) - 1)) for c in session.floor.open_castings()
    )
    cold = StockBook(store.stock)
    lines: list[tuple[str, Callable[[], object], int, float | None]] = [
        (
            "ticket of a layer on the floor",
            lambda: ticket_of(shop, session.floor, [key]),
            50,
            TICKET_GOAL_MS,
        ),
        ("lot to castings", lambda: trace_lot(store, shop, lot, material), 9, TRACE_GOAL_MS),
        ("casting to lots", lambda: trace_casting(store, shop, casting), 9, TRACE_GOAL_MS),
        ("the whole account, first time", lambda: cold.lots(shop), 1, None),
        ("the account again", lambda: cold.lots(shop), 9, None),
        ("stock lines against a plan", lambda: cold.lines(shop, {}, last.at), 9, None),
        (
            "a casting's cost",
            lambda: CostBook(store, shop, cold).casting(casting),
            9,
            None,
        ),
    ]
    found = [(what, median_ms(work, times), goal) for what, work, times, goal in lines]
    castings = len(trace_lot(store, shop, lot, material).castings)
    print(f"lot {lot} of {material} went into {castings} castings")
    store.close()
    return found


def main() -> None:
    """Write a long log and print each time against its goal."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--entries", type=int, default=200_000)
    entries = parser.parse_args().entries
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "long.db"
        write_database(path, entries)
        for what, took, goal in measure(path):
            against = "" if goal is None else f"   goal {goal:g} ms   {took / goal:6.1%} of it"
            print(f"{what:<34} {took:9.3f} ms{against}")


if __name__ == "__main__":
    main()
