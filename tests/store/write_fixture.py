"""Write a database of the schema as it is now, to be kept as a fixture once it is released.

    python -m tests.store.write_fixture tests/store/fixtures/m003.sql

Named after the newest migration. Once written, a fixture is never written again: it is what people
have on their disks.
"""

from __future__ import annotations

import sqlite3
import sys
import tempfile
from contextlib import closing
from pathlib import Path

from floorboard.floor import events as e
from floorboard.store.sqlite_store import open_store
from tests.store.small_shop import SHOP, START, Bench


def fill(path: Path) -> None:
    """Log a short day with something of everything in a new database."""
    with open_store(path) as store:
        store.load_shop(SHOP, source="shop.toml", at=START, person=None, station="")
        bench = Bench(store)
        bench.log(e.LotReceived(material="powder", lot="L1", grams=25_000))
        bench.log(e.ConditionsRead(room_celsius=21))
        bench.log(e.PersonLeft(who="bo"))
        bench.cast_bowl("c-1")
        bench.begin("c-2", "bowl-2", order="friday")
        bench.log(e.MoldReadied(casting="c-2"))
        bench.begin("c-3", "tile-1")
        (note,) = bench.log(e.Noted(note="naïve 🙂", casting="c-3"))
        bench.strike(note.seq)
        bench.log(e.StockCounted(material="powder", lot="L1", grams=24_000))
        bench.log(e.MoldCaredFor(mold="bowl-1"))


def dump(path: Path) -> str:
    """Return a database as SQL text."""
    with closing(sqlite3.connect(path)) as connection:
        mark = connection.execute("PRAGMA application_id").fetchone()[0]
        return "\n".join([f"PRAGMA application_id = {mark};", *connection.iterdump()]) + "\n"


def main() -> None:
    """Write the file named, unless it is there."""
    target = Path(sys.argv[1])
    if target.exists():
        sys.exit(f"{target} is there already, and stays as it is.")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "floor.db"
        fill(path)
        target.write_text(dump(path), encoding="utf-8")


if __name__ == "__main__":
    main()
