"""Invented shops of a given size, as networks: molds, hands, layers, mixes, a working day.

The figures are of the order common practice has (no source): a layer is mixed in 2-4 minutes and
worked 4-9, waits 10-20 minutes for the next and no more than 15-40, is demolded after 25-60.
"""

from __future__ import annotations

import random

from floorboard.planning.draft import Draft
from floorboard.planning.network import (
    Anchor,
    Family,
    Group,
    Hold,
    Lag,
    Moment,
    Person,
    Problem,
    Station,
    Task,
)


def day(molds: int, people: int, seed: int = 1, minutes: int = 480, layers: int = 4) -> Problem:
    """Return a working day of a shop: as many castings wanted as the molds could ever make."""
    rng = random.Random(seed)
    draft = Draft(horizon=minutes)
    for number in range(people):
        lunch = 220 + 20 * (number % 3)
        stretches = ((0, 120), (135, lunch), (lunch + 30, minutes))
        draft.person(Person(f"person {number + 1}", stretches))
    mixes = [
        draft.family(Family(f"mix {number + 1}", rng.randint(8, 16), rng.randint(16, 28)))
        for number in range(max(1, min(3, molds // 6)))
    ]
    rack = draft.station(Station("rack", 3 * molds))
    left = molds
    while left:
        owned = min(left, rng.randint(1, 4))
        left -= owned
        _piece(draft, rng, f"piece {len(draft.stations)}", owned, mixes, rack, layers)
    return draft.problem()


def _piece(
    draft: Draft,
    rng: random.Random,
    name: str,
    owned: int,
    mixes: list[int],
    rack: int,
    layers: int,
) -> None:
    mold = draft.station(Station(f"mold of {name}", owned))
    everyone = tuple(range(len(draft.people)))
    coats = [
        (rng.randint(2, 4), rng.randint(4, 9), rng.randint(10, 20), rng.randint(15, 40))
        for _ in range(layers)
    ]
    weights = [rng.randint(2, 5) for _ in range(layers)]
    mix = [rng.choice(mixes) for _ in range(layers)]
    cure, ready_mold, demold, trim = rng.randint(25, 60), rng.randint(2, 4), 3, rng.randint(4, 8)
    alike = len(draft.stations)
    for count in range(owned * (draft.horizon // 110)):
        label = f"{name} no {count + 1}"
        prepare = draft.task(Task(f"{label} ready mold", ready_mold, everyone))
        tasks, before, wait, most = [prepare], prepare, 0, 60
        for number, (setup, work, partial, open_for) in enumerate(coats):
            layer = draft.task(
                Task(
                    f"{label} layer {number + 1}",
                    work,
                    everyone,
                    setup=setup,
                    dry_setup=setup // 2,
                    family=mix[number],
                    weight=weights[number],
                )
            )
            draft.lag(Lag(before, layer, wait, most, Anchor.END, Anchor.READY))
            tasks.append(layer)
            before, wait, most = layer, partial, partial + open_for
        off = draft.task(Task(f"{label} demold", demold, everyone))
        finish = draft.task(Task(f"{label} trim", trim, everyone))
        draft.lag(Lag(before, off, cure))
        draft.lag(Lag(off, finish, 0))
        draft.hold(Hold(mold, Moment(prepare, Anchor.START), Moment(off, Anchor.END)))
        draft.hold(Hold(rack, Moment(off, Anchor.END), None))
        draft.group(Group(label, (*tasks, off, finish), alike=alike))
