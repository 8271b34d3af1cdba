"""A scripted day at one station, through the session and the store, until it is killed.

What is acknowledged is written to a pipe, a line an entry, after the store has returned it.
Run by `benchmarks.crash_run`.
"""

from __future__ import annotations

import datetime as dt
import os
import random
import sys
from typing import TYPE_CHECKING

from floorboard.floor import events as e
from floorboard.floor.clock import FixedClock
from floorboard.planning.plan import empty_plan
from floorboard.shop.errors import StaleFloor
from floorboard.store.errors import CannotStrike
from floorboard.store.sqlite_store import open_store
from floorboard.usecases import changes
from floorboard.usecases.demo_day import demo_shop
from floorboard.usecases.presses import press_for_casting, press_for_mold
from floorboard.usecases.session import Session

if TYPE_CHECKING:
    from floorboard.floor.floor import Floor
    from floorboard.planning.plan import Plan
    from floorboard.shop.shop import Shop

FIRST_MORNING = dt.datetime(2026, 3, 12, 8, 0, tzinfo=dt.UTC)
# Out of a hundred things done at a bench, so many are these; the rest are presses of confirm.
STRIKES, REJECTS, NOTES, WEIGHTS = 6, 3, 5, 4


class NoPlanner:
    """The script says what is done; no one is asked for a plan."""

    def plan(
        self,
        shop: Shop,  # noqa: ARG002
        floor: Floor,
        now: dt.datetime,
        previous: Plan | None = None,  # noqa: ARG002
    ) -> Plan:
        """Return a plan with nothing in it."""
        return empty_plan(now, now, floor.last_seq)


class Station:
    """Someone at a station who never stops, and tells the pipe what was acknowledged."""

    def __init__(self, path: str, seed: int, pipe: int) -> None:
        self.rng = random.Random(seed)
        self.pipe = pipe
        store = open_store(path)
        if store.shop() is None:
            shop = demo_shop()
            entry = store.load_shop(
                shop, source="demo", at=FIRST_MORNING, person=None, station="crash"
            )
            self._tell([entry])
        last = store.floor().last_at or FIRST_MORNING
        self.clock = FixedClock(last + dt.timedelta(seconds=30))
        self.session = Session(store, NoPlanner(), self.clock, f"station-{seed % 6}")

    def work(self) -> None:
        """Do one thing after another, for ever."""
        while True:
            self.clock.forward(self.rng.uniform(20, 500))
            self.session.refresh()
            try:
                self._do_something(self.rng.choice(sorted(self.session.shop.people)))
            except (StaleFloor, CannotStrike):
                # Another station was quicker.
                continue

    def _do_something(self, person: str) -> None:
        session, choice = self.session, self.rng.randrange(100)
        castings = [casting.serial for casting in session.floor.open_castings()]
        if choice < STRIKES:
            self._strike(person)
        elif choice < STRIKES + REJECTS and castings:
            hand, casting = session.hand(person), self.rng.choice(castings)
            self._tell(changes.reject(session.store, hand, casting, "void"))
        elif choice < STRIKES + REJECTS + NOTES:
            casting = self.rng.choice([*castings, None])
            self._tell(session.log(person, e.Noted(note="Damp again. 🙂", casting=casting)))
        elif choice < STRIKES + REJECTS + NOTES + WEIGHTS and castings:
            weighed = e.CastingWeighed(casting=self.rng.choice(castings), grams=640)
            self._tell(session.log(person, weighed))
        else:
            self._press(person)

    def _strike(self, person: str) -> None:
        last = changes.last_to_strike(self.session.store)
        if last is not None:
            hand = self.session.hand(person)
            self._tell([changes.strike(self.session.store, hand, last.seq)])

    def _press(self, person: str) -> None:
        session = self.session
        out = [c for c in session.floor.open_castings() if c.demolded_at is not None]
        if out and self.rng.random() < 0.3:
            press = press_for_casting(session.floor, self.rng.choice(out), person)
        else:
            mold = self.rng.choice(sorted(session.shop.molds))
            press = press_for_mold(session.floor, mold, person)
        if press is not None:
            self._tell(session.confirm(press))

    def _tell(self, entries: list[e.Entry]) -> None:
        lines = []
        for entry in entries:
            struck = entry.event.struck if isinstance(entry.event, e.EntryStruck) else 0
            lines.append(f"{entry.id} {entry.seq} {struck}\n")
        os.write(self.pipe, "".join(lines).encode())


def main() -> None:
    """Work at the database given until killed."""
    path, seed, pipe = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
    Station(path, seed, pipe).work()


if __name__ == "__main__":
    main()
