"""A made-up log of any length, quickly: every mold of a shop cast again and again, day after day.

No plan is followed and no one's time is checked; what matters is that the log is as varied, as
linked and as long as a real one, and always the same for the same seed.

    python -m benchmarks.synthetic_log FILE.db --entries 200000
"""

from __future__ import annotations

import argparse
import datetime as dt
import heapq
import random
import time
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from floorboard.floor import events as e
from floorboard.shop.build import Build, build_of
from floorboard.store import event_log
from floorboard.store.connect import connect
from floorboard.store.refill import refill
from floorboard.store.shelf import BuildShelf
from floorboard.store.sqlite_store import open_store
from floorboard.usecases.demo_day import demo_shop

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Iterator

    from floorboard.shop.shop import Shop

FIRST_DAY = dt.datetime(2024, 1, 8, 8, 0, tzinfo=dt.UTC)
REJECTED, SENT_BACK, NOTED, STRUCK = 0.04, 0.02, 0.05, 0.01
# No casting is begun later in the day than this many hours after its start.
LAST_BEGIN_HOURS = 5

Happening = tuple[dt.datetime, str, e.AnyEvent]


@dataclass(slots=True)
class _Bench:
    """What the molds share: the dice, the people and the numbers given out."""

    shop: Shop
    rng: random.Random
    builds: dict[str, Build]
    serials: dict[str, int] = field(default_factory=dict)

    def serial(self, prefix: str, at: dt.datetime) -> str:
        key = f"{prefix}{at:%y%m%d}"
        self.serials[key] = self.serials.get(key, 0) + 1
        return f"{key}-{self.serials[key]:02d}"

    def after(self, at: dt.datetime, seconds: float) -> dt.datetime:
        return at + dt.timedelta(seconds=seconds * self.rng.uniform(1.0, 1.15) + 5)


def synthetic_entries(shop: Shop, count: int, seed: int = 1) -> Iterator[e.Entry]:
    """Yield exactly `count` entries of this shop's log, in order; struck ones among them."""
    bench = _Bench(shop, random.Random(seed), {p: build_of(shop, p) for p in shop.pieces})
    # One stream a mold, merged by time; the mold's number breaks ties.
    streams = [_mold_days(bench, mold) for mold in shop.molds]
    heap = [(*next(stream), number, stream) for number, stream in enumerate(streams)]
    waiting = [(at, number, person, event, stream) for at, person, event, number, stream in heap]
    heapq.heapify(waiting)
    seq = 0
    while seq < count:
        at, number, person, event, stream = heapq.heappop(waiting)
        heapq.heappush(waiting, _next(number, stream))
        seq += 1
        yield _entry(seq, at, person, event)
        if seq + 2 <= count and bench.rng.random() < NOTED:
            struck = bench.rng.random() < STRUCK / NOTED
            seq += 1
            note = _entry(seq, at, person, e.Noted(note="Damp at the window side."))
            yield note.model_copy(update={"struck_by": seq + 1 if struck else None})
            if struck:
                seq += 1
                yield _entry(seq, at, person, e.EntryStruck(struck=seq - 1, reason="wrong key"))


_Waiting = tuple[dt.datetime, int, str, e.AnyEvent, "Iterator[Happening]"]


def _next(number: int, stream: Iterator[Happening]) -> _Waiting:
    at, person, event = next(stream)
    return at, number, person, event, stream


def _entry(seq: int, at: dt.datetime, person: str, event: e.AnyEvent) -> e.Entry:
    return e.Entry(
        seq=seq,
        id=f"{seq:014x}",
        at=at,
        logged_at=at,
        person=person,
        station="bench",
        event=event,
    )


def _mold_days(bench: _Bench, mold: str) -> Iterator[Happening]:
    """Cast one mold for ever, weekdays only."""
    people = list(bench.shop.people)
    at = FIRST_DAY + dt.timedelta(minutes=bench.rng.uniform(0, 60))
    while True:
        person = bench.rng.choice(people)
        ended = at
        for happening in _casting(bench, mold, person, at):
            ended = max(ended, happening[0])
            yield happening
        at = _next_begin(bench, ended)


def _next_begin(bench: _Bench, at: dt.datetime) -> dt.datetime:
    at = bench.after(at, 300)
    if at.hour >= FIRST_DAY.hour + LAST_BEGIN_HOURS or at.hour < FIRST_DAY.hour:
        at = at.replace(hour=8, minute=0) + dt.timedelta(days=1, minutes=bench.rng.uniform(0, 60))
    while at.weekday() >= 5:
        at += dt.timedelta(days=1)
    return at


def _casting(bench: _Bench, mold: str, person: str, at: dt.datetime) -> Iterator[Happening]:
    piece_id = bench.shop.molds[mold].piece
    build = bench.builds[piece_id]
    piece, serial = build.piece, bench.serial("", at)
    digest = _digest(build)
    yield at, person, e.CastingBegun(casting=serial, mold=mold, piece=piece_id, build=digest)
    at = bench.after(at, piece.ready)
    yield at, person, e.MoldReadied(casting=serial)
    rejected = bench.rng.random() < REJECTED
    fails_at = bench.rng.randrange(len(piece.layers)) if rejected else None
    for number, layer in enumerate(piece.layers):
        for moment, event in _layer(bench, build, serial, number, at):
            at = moment
            yield at, person, event
        if number == fails_at:
            yield at, person, e.CastingRejected(casting=serial, reason="void", layer=number)
            return
        at = bench.after(at, layer.partial_cure)
    at = bench.after(at, piece.full_cure)
    yield at, person, e.DemoldBegun(casting=serial)
    at = bench.after(at, piece.demold)
    yield at, person, e.Demolded(casting=serial)
    yield at, person, e.CastingWeighed(casting=serial, grams=bench.rng.gauss(2000, 40))
    for moment, event in _route(bench, build, serial, at):
        yield moment, person, event


_DIGESTS: dict[int, str] = {}


def _digest(build: Build) -> str:
    return _DIGESTS.setdefault(id(build), build.digest())


def _layer(
    bench: _Bench, build: Build, casting: str, number: int, at: dt.datetime
) -> Iterator[tuple[dt.datetime, e.AnyEvent]]:
    layer, mix = build.piece.layers[number], build.mix_of_layer(number)
    batch, grams = bench.serial("B", at), bench.rng.uniform(300, 900)
    yield (
        at,
        e.BatchBegun(
            batch=batch,
            mix=layer.mix,
            servings=(e.Serving(casting=casting, layer=number, grams=grams),),
            grams=grams,
            working_seconds=600,
        ),
    )
    whole = sum(part.parts for part in mix.parts)
    for part in mix.parts:
        at = bench.after(at, 20)
        target = grams * part.parts / whole
        weighed = target * bench.rng.gauss(1, 0.01)
        lot = f"{part.material}-{at:%y%m}"[:80]
        yield (
            at,
            e.MaterialWeighed(
                batch=batch, material=part.material, target_grams=target, grams=weighed, lot=lot
            ),
        )
    at = bench.after(at, 20)
    yield at, e.BatchWetted(batch=batch)
    at = bench.after(at, 120)
    yield at, e.LayerBegun(casting=casting, layer=number, batch=batch)
    at = bench.after(at, layer.apply)
    yield at, e.LayerApplied(casting=casting, layer=number, batch=batch, grams=grams)


def _route(
    bench: _Bench, build: Build, casting: str, at: dt.datetime
) -> Iterator[tuple[dt.datetime, e.AnyEvent]]:
    again = bench.rng.random() < SENT_BACK
    index = 0
    while index < len(build.piece.route):
        step = build.piece.route[index]
        if not step.passive:
            yield at, e.StepBegun(castings=(casting,), step=index)
            at = bench.after(at, step.takes)
            yield at, e.StepDone(castings=(casting,), step=index)
            if again:
                again = False
                yield at, e.CastingSentBack(casting=casting, step=index, reason="other")
                continue
        else:
            at = bench.after(at, step.takes)
        index += 1


def write_database(path: Path, count: int, shop: Shop | None = None, seed: int = 1) -> None:
    """Write a database with a log of `count` entries, and the tables beside it."""
    shop = shop or demo_shop()
    with open_store(path) as store:
        began = FIRST_DAY - dt.timedelta(days=1)
        store.load_shop(shop, source="benchmark", at=began, person=None, station="")
    connection = connect(path)
    try:
        connection.execute("PRAGMA synchronous = OFF")
        connection.execute("BEGIN IMMEDIATE")
        _write_entries(connection, shop, count, seed)
        connection.execute("COMMIT")
        refill(connection)
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
    finally:
        connection.close()


def _write_entries(connection: sqlite3.Connection, shop: Shop, count: int, seed: int) -> None:
    shelf = BuildShelf(connection)
    for piece in shop.pieces:
        shelf.keep(build_of(shop, piece))
    # The first entry of the database is the shop's.
    for entry in synthetic_entries(shop, count - 1, seed):
        event = entry.event
        if isinstance(event, e.EntryStruck):
            event = e.EntryStruck(struck=event.struck + 1, reason=event.reason)
        shifted = entry.model_copy(update={"seq": entry.seq + 1, "event": event})
        event_log.insert(connection, shifted, event.touched_castings(), about=event)
        if isinstance(event, e.EntryStruck):
            event_log.set_struck(connection, event.struck, shifted.seq)


def main() -> None:
    """Write a database and say how long it took."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("file", type=Path)
    parser.add_argument("--entries", type=int, default=200_000)
    arguments = parser.parse_args()
    start = time.perf_counter()
    write_database(arguments.file, arguments.entries)
    print(f"{arguments.entries} entries in {time.perf_counter() - start:.1f} s")


if __name__ == "__main__":
    main()
