"""Crews at work for days on random shops, with mishaps: no plan may fail or break a rule.

Run: python -m benchmarks.crew_days --shops 20 --days 2 [--demo] [--seed 1] [--keep FOLDER]

Prints plans drawn up, entries logged, failures by kind, and the slowest plan. With --keep, the
shop, floor and moment of each kind of failure are kept as a pickle to be looked into.
"""

from __future__ import annotations

import argparse
import collections
import datetime as dt
import pickle
import random
import tempfile
import time
import traceback
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from hypothesis import HealthCheck, Phase, given, seed, settings

from floorboard.floor import events as e
from floorboard.floor.clock import FixedClock
from floorboard.planning.check_plan import check_plan
from floorboard.planning.plan import empty_plan
from floorboard.planning.planner import plan_shop
from floorboard.shop.errors import FloorboardError
from floorboard.store.sqlite_store import open_store
from floorboard.usecases.demo_day import demo_shop
from floorboard.usecases.presses import press_for_casting
from floorboard.usecases.session import Session
from floorboard.usecases.simulate import Crew
from tests.strategies import shops

if TYPE_CHECKING:
    from floorboard.floor.casting import Casting
    from floorboard.floor.floor import Floor
    from floorboard.planning.plan import Plan
    from floorboard.shop.shop import Shop

START = dt.datetime(2026, 3, 9, 5, 0, tzinfo=dt.UTC)
SPREADS = (0.0, 0.08, 0.3)
HOUR = dt.timedelta(hours=1)


@dataclass
class WatchedPlanner:
    """The planner, each of its plans checked once more and each failure counted, not raised."""

    keep: Path | None = None
    plans: int = 0
    slowest_seconds: float = 0.0
    failures: collections.Counter[str] = field(default_factory=collections.Counter)

    def plan(
        self, shop: Shop, floor: Floor, now: dt.datetime, previous: Plan | None = None
    ) -> Plan:
        self.plans += 1
        begun = time.perf_counter()
        try:
            plan = plan_shop(shop, floor, now, previous)
        except Exception as error:  # a crash is what is looked for, of whatever kind
            self.failed(_where(error), (shop, floor, now, previous))
            return empty_plan(now, now, floor.last_seq)
        self.slowest_seconds = max(self.slowest_seconds, time.perf_counter() - begun)
        for breach in check_plan(shop, floor, plan)[:1]:
            self.failed(f"returned a breach of '{breach.rule}'", (shop, floor, now, previous))
        for note in plan.notes:
            if "broke the rule" in note:
                self.failed(
                    f"put aside: {note.split('rule ')[1][:45]}", (shop, floor, now, previous)
                )
        return plan

    def failed(self, kind: str, state: tuple[object, ...]) -> None:
        self.failures[kind] += 1
        if self.keep is not None and self.failures[kind] <= 3:
            name = "".join(c if c.isalnum() else "_" for c in kind)[:80]
            file = self.keep / f"{name}-{self.failures[kind]}.pickle"
            file.write_bytes(pickle.dumps(state))


def _where(error: Exception) -> str:
    last = traceback.extract_tb(error.__traceback__)[-1]
    return f"{type(error).__name__} in {Path(last.filename).name}:{last.lineno} {last.name}: {str(error)[:60]}"


@dataclass
class Mishaps:
    """What goes wrong in a shop, one at a time, at random."""

    session: Session
    rng: random.Random
    done: collections.Counter[str] = field(default_factory=collections.Counter)

    def happen(self) -> None:
        """Let one thing go wrong, if there is something it can happen to."""
        kinds = (
            self.strike_last, self.strike_any, self.reject, self.lose_batch, self.leave, self.come_back,
            self.mold_out, self.mold_back, self.rest, self.set_aside, self.take_up, self.send_back,
            self.out_of_plan, self.silence, self.late_entry, self.read_conditions,
        )  # fmt: skip
        kind = self.rng.choice(kinds)
        try:
            kind()
        except FloorboardError as refusal:
            self.done[f"refused: {type(refusal).__name__}"] += 1
        else:
            self.done[kind.__name__] += 1

    def _log(self, *events: e.AnyEvent, ago: float = 0.0) -> None:
        person = self.rng.choice(list(self.session.shop.people))
        at = self.session.now - dt.timedelta(seconds=ago)
        entries = self.session.store.append(
            [(at, event) for event in events],
            logged_at=self.session.now,
            person=person,
            station="bench",
        )
        self.session.take_in(entries)

    def _casting(self) -> Casting | None:
        found = list(self.session.floor.open_castings())
        return self.rng.choice(found) if found else None

    def _mold(self) -> str:
        return self.rng.choice(list(self.session.shop.molds))

    def strike_last(self) -> None:
        self.session.strike_last(None)

    def strike_any(self) -> None:
        latest = [n for n in self.session.store.latest(40) if n.struck_by is None]
        if latest:
            entry = self.rng.choice(latest)
            now = self.session.now
            self.session.store.strike(
                entry.seq, reason="", logged_at=now, person=None, station="bench"
            )
            self.session.refresh()

    def reject(self) -> None:
        if casting := self._casting():
            self._log(e.CastingRejected(casting=casting.serial, reason="other"))

    def lose_batch(self) -> None:
        for batch in list(self.session.floor.open_batches())[:1]:
            self._log(e.BatchLost(batch=batch.serial))

    def leave(self) -> None:
        self._log(e.PersonLeft(who=self.rng.choice(list(self.session.shop.people))))

    def come_back(self) -> None:
        for who in list(self.session.floor.away):
            self._log(e.PersonBack(who=who))

    def mold_out(self) -> None:
        self._log(e.MoldTakenOut(mold=self._mold()))

    def mold_back(self) -> None:
        for mold, state in list(self.session.floor.molds.items()):
            if state.in_service is False:
                self._log(e.MoldPutBack(mold=mold))

    def rest(self) -> None:
        until = self.session.now + HOUR * self.rng.uniform(0.1, 3)
        self._log(e.MoldRested(mold=self._mold(), until=until))

    def set_aside(self) -> None:
        if casting := self._casting():
            self._log(e.CastingSetAside(casting=casting.serial))

    def take_up(self) -> None:
        for casting in list(self.session.floor.open_castings()):
            if casting.set_aside:
                self._log(e.CastingTakenUp(casting=casting.serial))

    def send_back(self) -> None:
        casting = self._casting()
        if casting is not None and casting.demolded_at is not None and casting.next_step:
            step = self.rng.randrange(casting.next_step)
            self._log(e.CastingSentBack(casting=casting.serial, step=step, reason="other"))

    def out_of_plan(self) -> None:
        """Someone does what no plan asked of them, perhaps in the midst of something else."""
        person = self.rng.choice(list(self.session.shop.people))
        casting = self._casting()
        press = press_for_casting(self.session.floor, casting, person) if casting else None
        press = press or self.session.press_for_mold(self._mold(), person)
        if press is not None:
            self.session.confirm(press)

    def silence(self) -> None:
        """Nobody logs anything for a while."""
        clock = self.session.clock
        assert isinstance(clock, FixedClock)
        clock.forward(self.rng.choice([600, 3600, 4 * 3600]))

    def late_entry(self) -> None:
        """Something is logged with the time it happened, a while ago."""
        press = self.session.press_for(self.rng.choice(list(self.session.shop.people)))
        if press is not None:
            ago = dt.timedelta(minutes=self.rng.choice([1, 20, 300]))
            self.session.confirm(press, self.session.now - ago)

    def read_conditions(self) -> None:
        self._log(e.ConditionsRead(room_celsius=self.rng.choice([5, 19, 24, 38])))


def work_days(
    shop: Shop, days: float, seed_number: int, planner: WatchedPlanner, *, mishaps: bool = True
) -> tuple[int, Mishaps]:
    """Let a crew work a shop for some days; return the number of entries and what went wrong."""
    rng = random.Random(seed_number)
    clock = FixedClock(START)
    with tempfile.TemporaryDirectory(prefix="crew-") as folder:
        store = open_store(Path(folder) / "crew.db")
        try:
            store.load_shop(shop, source="", at=clock.now(), person=None, station="bench")
            session = Session(store, planner, clock, "bench")
            crew = Crew(session, clock, rng, spread=rng.choice(SPREADS))
            trouble = Mishaps(session, rng)
            end = START + dt.timedelta(days=days)
            while clock.now() < end:
                crew.work_until(min(end, clock.now() + HOUR * rng.uniform(0.02, 1.2)))
                if mishaps and clock.now() < end:
                    trouble.happen()
            return store.last_seq(), trouble
        finally:
            store.close()


def shops_drawn(count: int, seed_number: int) -> list[Shop]:
    """Return so many random shops, the same for the same seed."""
    drawn: list[Shop] = []

    @seed(seed_number)
    @settings(
        max_examples=count, phases=[Phase.generate], database=None, deadline=None,
        suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    @given(shops())
    def draw(shop: Shop) -> None:
        drawn.append(shop)

    draw()
    return drawn


def main() -> None:
    """Run crews and print what came of it."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--shops", type=int, default=10)
    parser.add_argument("--days", type=float, default=2.0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--demo", action="store_true", help="the demo shop, so many times")
    parser.add_argument("--keep", type=Path)
    given_ = parser.parse_args()
    if given_.keep:
        given_.keep.mkdir(parents=True, exist_ok=True)
    planner = WatchedPlanner(given_.keep)
    entries, done = 0, collections.Counter[str]()
    crashed = collections.Counter[str]()
    chosen = [demo_shop()] * given_.shops if given_.demo else shops_drawn(given_.shops, given_.seed)
    for number, shop in enumerate(chosen):
        try:
            logged, trouble = work_days(shop, given_.days, given_.seed * 1000 + number, planner)
        except Exception as error:  # counted by kind and printed below
            crashed[_where(error)] += 1
            traceback.print_exc()
            continue
        entries += logged
        done += trouble.done
        print(
            f"shop {number}: {logged} entries, {planner.plans} plans, {dict(planner.failures)}",
            flush=True,
        )
    print(f"plans drawn up   {planner.plans}, the slowest in {planner.slowest_seconds:.2f} s")
    print(f"entries logged   {entries}")
    print(f"mishaps          {dict(done)}")
    print(f"planner failures {sum(planner.failures.values())}")
    for kind, count in (planner.failures + crashed).most_common():
        print(f"  {count:>5}  {kind}")


if __name__ == "__main__":
    main()
