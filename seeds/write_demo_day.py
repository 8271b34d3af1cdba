"""Write seeds/demo-day.jsonl: the demo crew's two days up to the moment the demo's clock starts.

Run from the checkout: python seeds/write_demo_day.py
"""

from __future__ import annotations

import datetime as dt
import json
import random
import tempfile
from pathlib import Path

from floorboard.cli.compose import ShopPlanner
from floorboard.floor import events as e
from floorboard.floor.clock import FixedClock
from floorboard.store.sqlite_store import open_store
from floorboard.usecases.demo_day import demo_shop, demo_start
from floorboard.usecases.session import Session
from floorboard.usecases.simulate import Crew

SEED = 20260312


def write_demo_day(path: Path) -> int:
    """Simulate the crew and write its log; return how many entries it has."""
    shop = demo_shop()
    start = demo_start(shop)
    clock = FixedClock(start - dt.timedelta(days=1, hours=2, minutes=15))
    with tempfile.TemporaryDirectory() as folder:
        store = open_store(Path(folder) / "demo.db")
        store.load_shop(shop, source="demo.toml", at=clock.now(), person=None, station="demo")
        session = Session(store, ShopPlanner(), clock, "bench")
        stock(session)
        crew = Crew(session, clock, random.Random(SEED))
        crew.work_until(start - dt.timedelta(hours=2, minutes=10))
        session.log(
            "maia",
            e.ConditionsRead(
                room_celsius=19, water_celsius=16, surface_celsius=18, humidity_percent=55
            ),
        )
        crew.work_until(start)
        entries = [
            entry
            for entry in reversed(store.latest(100_000))
            if not isinstance(entry.event, e.ShopLoaded)
        ]
        lines = [
            json.dumps(
                {
                    "at": entry.at.isoformat(),
                    "person": entry.person,
                    "station": entry.station,
                    "event": entry.event.model_dump(mode="json"),
                },
                ensure_ascii=False,
            )
            for entry in entries
        ]
        store.close()
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return len(lines)


def stock(session: Session) -> None:
    """Receive the lots the demo shop starts with; all are open but the newer plaster."""
    for material, lot, grams, expires in (
        ("plaster", "P-2598", 32_700, dt.date(2026, 4, 30)),
        ("plaster", "P-2611", 75_000, dt.date(2026, 9, 30)),
        ("binder", "B-0419", 30_000, None),
        ("glass-fibre", "G-77", 6_000, None),
        ("accelerator-stock", "A-0305", 520, None),
        ("thickener", "T-12", 900, None),
        ("iron-oxide", "O-8", 800, None),
        ("wash-paint", "W-3", 4_000, None),
        ("sealer", "S-21", 4_500, None),
    ):
        session.log("maia", e.LotReceived(material=material, lot=lot, grams=grams, expires=expires))
        if lot != "P-2611":
            session.log("maia", e.LotOpened(material=material, lot=lot))


if __name__ == "__main__":
    target = Path(__file__).with_name("demo-day.jsonl")
    print(f"{write_demo_day(target)} entries written to {target.name}")
