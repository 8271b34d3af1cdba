"""Which of the work begun on the floor a plan has to carry on.

A log may hold what cannot be: a step begun before the one below it, two castings in one mold, a
batch for a layer that another batch is already on. Only what fits the casting's next step counts
as in hand; the rest binds nobody.
"""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING

from floorboard.floor.waits import next_wait

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterator

    from floorboard.floor.batch import Batch
    from floorboard.floor.casting import Casting
    from floorboard.floor.events import Serving
    from floorboard.floor.floor import Floor, InHand


def superseded(floor: Floor) -> set[str]:
    """Return the castings logged in a mold in which another was begun since.

    They cannot be there any more, though nobody logged how they left; no plan works on them.
    """
    latest: dict[str, Casting] = {}
    for casting in floor.castings.values():
        if casting.in_mold:
            known = latest.get(casting.mold)
            if known is None or (known.begun_at, known.serial) < (casting.begun_at, casting.serial):
                latest[casting.mold] = casting
    return {
        casting.serial
        for casting in floor.castings.values()
        if casting.in_mold and latest[casting.mold] is not casting
    }


def live_batches(floor: Floor, now: dt.datetime) -> list[tuple[Batch, list[Serving]]]:
    """Return the batches in somebody's hands with the layers each still serves, in order.

    One whose working time is over and that is not being applied has set in the bucket, whether or
    not that was logged. Of two batches for one layer the one it is being laid from counts, else
    the one begun last.
    """
    alive = [batch for batch in floor.open_batches() if _alive(floor, batch, now)]
    alive.sort(key=lambda batch: (batch.begun_at, batch.serial), reverse=True)
    served = _shared_out(floor, alive)
    found = [(batch, served[batch.serial]) for batch in alive if served[batch.serial]]
    return found[::-1]


def _alive(floor: Floor, batch: Batch, now: dt.datetime) -> bool:
    if batch.person is None:
        return False
    if batch.sets_at is None or batch.sets_at > now:
        return True
    first = next(iter(floor.still_served(batch)), None)
    casting = floor.castings.get(first.casting) if first is not None else None
    if first is None or casting is None or first.layer >= len(casting.coats):
        return False
    coat = casting.coats[first.layer]
    return coat.begun_at is not None and coat.applied_at is None and coat.batch == batch.serial


def _shared_out(floor: Floor, batches: list[Batch]) -> dict[str, list[Serving]]:
    """Return what each batch serves: layers that come next, each from one batch of its mix."""
    gone = superseded(floor)
    claims: dict[tuple[str, int], str] = {}
    for batch in batches:
        for serving in floor.still_served(batch):
            if _serves(floor, batch, serving, gone):
                key = serving.casting, serving.layer
                laying = floor.castings[serving.casting].coats[serving.layer].batch
                if key not in claims or laying == batch.serial:
                    claims[key] = batch.serial
    # A layer counts only if those below it are laid, or come from a batch as well.
    sound: set[tuple[str, int]] = set()
    for casting, layer in sorted(claims):
        below = (casting, layer - 1)
        if layer == floor.castings[casting].layers_applied or below in sound:
            sound.add((casting, layer))
    found: dict[str, list[Serving]] = {}
    for batch in batches:
        mine = {
            (s.casting, s.layer): s
            for s in floor.still_served(batch)
            if (s.casting, s.layer) in sound and claims[s.casting, s.layer] == batch.serial
        }
        # What is being laid comes first, whatever the order in which it was weighed for.
        order = sorted(mine, key=lambda key: floor.castings[key[0]].coats[key[1]].begun_at is None)
        found[batch.serial] = _lower_first([mine[key] for key in order])
    return found


def _lower_first(servings: list[Serving]) -> list[Serving]:
    """Return servings in their order, unless that lays a casting's upper layer first."""
    seen: dict[str, int] = {}
    for serving in servings:
        if seen.get(serving.casting, -1) > serving.layer:
            return sorted(servings, key=lambda serving: serving.layer)
        seen[serving.casting] = serving.layer
    return servings


def _serves(floor: Floor, batch: Batch, serving: Serving, gone: set[str]) -> bool:
    casting = floor.castings.get(serving.casting)
    if casting is None or not casting.in_mold or casting.set_aside or casting.serial in gone:
        return False
    if not casting.layers_applied <= serving.layer < len(casting.coats):
        return False
    coat = casting.coats[serving.layer]
    if coat.begun_at is not None and coat.batch != batch.serial:
        return False
    return casting.build.piece.layers[serving.layer].mix == batch.mix


def live_in_hand(floor: Floor, now: dt.datetime) -> Iterator[InHand]:
    """Yield the hands-on tasks begun and not ended that fit what their castings wait for."""
    live = {batch.serial for batch, _ in live_batches(floor, now)}
    gone = superseded(floor)
    for task in floor.all_in_hand():
        if task.kind == "batch":
            if task.batch in live:
                yield task
            continue
        castings = task.castings or ((task.casting,) if task.casting else ())
        fitting = tuple(s for s in castings if s not in gone and _fits(floor.castings[s], task))
        if fitting:
            kept = fitting if task.castings else ()
            yield dataclasses.replace(task, casting=fitting[0], castings=kept)


def _fits(casting: Casting, task: InHand) -> bool:
    """Return whether a task is what a casting waits for, and was begun."""
    if casting.set_aside:
        return False
    wait = next_wait(casting)
    return wait is not None and wait.begun_at == task.since and wait.key == (task.kind, task.index)
