"""A board through simulated hours of work: what it holds in memory at every hour.

Run: python -m benchmarks.board_hours 8
"""

from __future__ import annotations

import asyncio
import datetime as dt
import gc
import random
import sys
import tempfile
import time
from pathlib import Path

from benchmarks.soak_figures import resident_megabytes
from floorboard.cli.board import fill_demo
from floorboard.cli.compose import ShopPlanner
from floorboard.floor.clock import FixedClock
from floorboard.screens.app import BoardApp
from floorboard.usecases.session import Session
from floorboard.usecases.simulate import Crew

# The board looks round so often in simulated time; far more often than a thing could leak unseen.
STEP_SECONDS = 10


def held_megabytes() -> float:
    """Return how much memory this process holds once all that nobody holds on to is gone."""
    gc.collect()
    return resident_megabytes()


async def hours_of_work(hours: float) -> list[float]:
    """Return the memory held at the start and after every hour."""
    held: list[float] = []
    with tempfile.TemporaryDirectory() as folder:
        store, start = fill_demo(Path(folder) / "demo.db")
        clock = FixedClock(start)
        session = Session(store, ShopPlanner(), clock, "bench")
        crew = Crew(session, clock, random.Random(1))
        app = BoardApp(session)
        async with app.run_test(size=(120, 40)) as pilot:
            await pilot.pause()
            steps = int(hours * 3600 / STEP_SECONDS)
            for step in range(steps):
                if step % (3600 // STEP_SECONDS) == 0:
                    held.append(held_megabytes())
                crew.work_until(clock.now() + dt.timedelta(seconds=STEP_SECONDS))
                app.look_round()
                await asyncio.sleep(0)
                if step % 60 == 0:
                    await pilot.press("plus")
            held.append(held_megabytes())
        print(f"memory: {crew.presses} presses, {session.floor.last_seq} entries")
        store.close()
    return held


def main() -> None:
    """Print the memory at the hours and how flat it is."""
    began = time.perf_counter()
    held = asyncio.run(hours_of_work(float(sys.argv[1])))
    # The first hour loads what is loaded once: the planner, the views.
    base, last = held[1], held[-1]
    print(
        f"memory over {len(held) - 1} simulated hours: {base:.0f} MB after the first, {last:.0f} MB "
        f"at the end, {(last / base - 1) * 100:+.1f} % (goal within 10 %; at each hour "
        f"{', '.join(f'{mb:.0f}' for mb in held)}; took {time.perf_counter() - began:.0f} s)"
    )


if __name__ == "__main__":
    main()
