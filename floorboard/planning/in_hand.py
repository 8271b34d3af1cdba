"""Which of the work begun on the floor a plan has to carry on."""

from __future__ import annotations

from typing import TYPE_CHECKING

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
    """Return the batches in somebody's hands, each with the layers it will still serve, in order.

    One whose working time is over and that is not being applied has set in the bucket, whether or
    not that was logged. Of two batches begun for the same layer the later is taken to serve it.
    """
    gone = superseded(floor)
    claimed: set[tuple[str, int]] = set()
    found: list[tuple[Batch, list[Serving]]] = []
    for batch in reversed(list(floor.open_batches())):
        servings = [
            serving
            for serving in _servings_to_come(floor, batch, gone)
            if (serving.casting, serving.layer) not in claimed
        ]
        if batch.person is None or not servings:
            continue
        first = servings[0]
        applying = floor.castings[first.casting].coats[first.layer].begun_at is not None
        if applying or batch.sets_at is None or batch.sets_at > now:
            found.append((batch, servings))
            claimed |= {(serving.casting, serving.layer) for serving in servings}
    return found[::-1]


def _servings_to_come(floor: Floor, batch: Batch, gone: set[str]) -> Iterator[Serving]:
    """Yield the layers a batch can still serve, without those of castings set aside or gone."""
    for serving in floor.still_served(batch):
        if serving.casting not in gone and not floor.castings[serving.casting].set_aside:
            yield serving


def live_in_hand(floor: Floor, now: dt.datetime) -> Iterator[InHand]:
    """Yield the hands-on tasks begun and not ended, without what was set aside or has set."""
    live = {batch.serial for batch, _ in live_batches(floor, now)}
    gone = superseded(floor)
    for task in floor.all_in_hand():
        if task.kind == "batch":
            if task.batch in live:
                yield task
            continue
        castings = task.castings or ((task.casting,) if task.casting else ())
        if any(s not in gone and not floor.castings[s].set_aside for s in castings):
            yield task
