"""Logs as bad as they come: any event at any time about anything, in any order."""

from __future__ import annotations

import datetime as dt
import random

from floorboard.floor import events as e
from floorboard.floor.floor import Floor
from floorboard.floor.fold import fold
from floorboard.shop.build import Build, build_of
from floorboard.shop.shop import Shop


def odd_floor(shop: Shop, start: dt.datetime, seed: int, entries: int = 40) -> Floor:
    """A floor folded from random events over four hours, most of them out of order."""
    rng = random.Random(seed)
    builds = {key: build_of(shop, key) for key in shop.pieces}
    serials = [f"C{n}" for n in range(1, 6)]
    people = [*shop.people, None]
    found = []
    for _ in range(entries):
        at = start - dt.timedelta(seconds=rng.randint(0, 4 * 3600))
        found.append((at, rng.choice(people), _event(rng, shop, builds, serials)))
        if rng.random() < 0.8:
            found.sort(key=lambda entry: entry[0])
    log = [
        e.Entry(seq=n + 1, id=str(n), at=at, logged_at=at, person=person, event=event)
        for n, (at, person, event) in enumerate(found)
    ]
    return fold(log, {build.digest(): build for build in builds.values()})


def _event(
    rng: random.Random, shop: Shop, builds: dict[str, Build], serials: list[str]
) -> e.AnyEvent:
    serial, layer, step = rng.choice(serials), rng.randint(0, 3), rng.randint(0, 3)
    mold = rng.choice(list(shop.molds))
    piece = shop.molds[mold].piece
    batch = f"B{rng.randint(1, 3)}"
    some = tuple(rng.sample(serials, rng.randint(1, 3)))
    return rng.choice(
        [
            lambda: e.CastingBegun(
                casting=serial, mold=mold, piece=piece, build=builds[piece].digest()
            ),
            lambda: e.CastingBegun(
                casting=serial, mold=mold, piece=piece, build=builds[piece].digest()
            ),
            lambda: e.MoldReadied(casting=serial),
            lambda: e.BatchBegun(
                batch=batch,
                mix=rng.choice(list(shop.mixes)),
                servings=tuple(
                    e.Serving(casting=s, layer=rng.randint(0, 2), grams=300) for s in some
                ),
                working_seconds=rng.choice([0, 600, 3600]),
                cure_factor=rng.choice([0.5, 1, 2]),
            ),
            lambda: e.BatchWetted(batch=batch),
            lambda: e.BatchLost(batch=batch),
            lambda: e.LayerBegun(casting=serial, layer=layer, batch=rng.choice([batch, None])),
            lambda: e.LayerApplied(casting=serial, layer=layer, batch=rng.choice([batch, None])),
            lambda: e.LayerApplied(casting=serial, layer=0),
            lambda: e.DemoldBegun(casting=serial),
            lambda: e.Demolded(casting=serial),
            lambda: e.StepBegun(castings=some, step=step),
            lambda: e.StepDone(castings=some, step=step),
            lambda: e.CastingRejected(casting=serial, reason="void"),
            lambda: e.CastingSentBack(casting=serial, step=step, reason="void"),
            lambda: e.CastingSetAside(casting=serial),
            lambda: e.CastingTakenUp(casting=serial),
            lambda: e.MoldTakenOut(mold=mold),
            lambda: e.MoldPutBack(mold=mold),
            lambda: e.PersonLeft(who=rng.choice(list(shop.people))),
            lambda: e.PersonBack(who=rng.choice(list(shop.people))),
            lambda: e.ConditionsRead(room_celsius=rng.randint(5, 35)),
        ]
    )()
