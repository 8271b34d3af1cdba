"""Which of the work begun on the floor a plan has to carry on."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterator

    from floorboard.floor.batch import Batch
    from floorboard.floor.events import Serving
    from floorboard.floor.floor import Floor, InHand


def live_batches(floor: Floor, now: dt.datetime) -> Iterator[Batch]:
    """Yield the batches in somebody's hands that can still serve a layer.

    One whose working time is over and that is not being applied has set in the bucket, whether or
    not that was logged.
    """
    for batch in floor.open_batches():
        servings = servings_to_come(floor, batch)
        if batch.person is None or not servings:
            continue
        first = servings[0]
        applying = floor.castings[first.casting].coats[first.layer].begun_at is not None
        if applying or batch.sets_at is None or batch.sets_at > now:
            yield batch


def servings_to_come(floor: Floor, batch: Batch) -> list[Serving]:
    """Return the layers a batch can still serve, in order: of castings in molds, not set aside."""
    found = []
    for serving in batch.to_serve():
        casting = floor.castings.get(serving.casting)
        if casting is None or not casting.in_mold or casting.set_aside:
            continue
        if serving.layer < len(casting.coats) and casting.coats[serving.layer].applied_at is None:
            found.append(serving)
    return found


def live_in_hand(floor: Floor, now: dt.datetime) -> Iterator[InHand]:
    """Yield the hands-on tasks begun and not ended, without what was set aside or has set."""
    live = {batch.serial for batch in live_batches(floor, now)}
    for task in floor.all_in_hand():
        if task.kind == "batch":
            if task.batch in live:
                yield task
            continue
        castings = task.castings or ((task.casting,) if task.casting else ())
        if any(not floor.castings[serial].set_aside for serial in castings):
            yield task
