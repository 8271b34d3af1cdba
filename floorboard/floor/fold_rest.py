"""How entries change batches, molds, people and the day's conditions."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.floor import events as e
from floorboard.floor.batch import Batch, Weighed
from floorboard.floor.casting import Flag
from floorboard.floor.floor import Floor, MoldState

if TYPE_CHECKING:
    from collections.abc import Callable


def _batch_begun(floor: Floor, entry: e.Entry) -> None:
    event = entry.event
    assert isinstance(event, e.BatchBegun)
    if event.batch in floor.batches:
        floor.flags.append(Flag(entry.seq, "twice", f"Batch {event.batch} was begun twice."))
        return
    floor.batches[event.batch] = Batch(
        event.batch,
        event.mix,
        entry.person,
        event.servings,
        event.grams,
        event.working_seconds,
        event.cure_factor,
        entry.at,
    )


def _with_batch(floor: Floor, entry: e.Entry) -> Batch | None:
    serial = entry.event.touched_batch()
    batch = floor.batches.get(serial) if serial else None
    if batch is None:
        floor.flags.append(Flag(entry.seq, "unknown", f"The log has no batch {serial}."))
    return batch


def _material_weighed(floor: Floor, entry: e.Entry) -> None:
    event = entry.event
    assert isinstance(event, e.MaterialWeighed)
    if batch := _with_batch(floor, entry):
        batch.weighed.append(Weighed(event.material, event.target_grams, event.grams, event.lot))


def _batch_corrected(floor: Floor, entry: e.Entry) -> None:
    event = entry.event
    assert isinstance(event, e.BatchCorrected)
    if batch := _with_batch(floor, entry):
        batch.grams = event.grams
        if event.working_seconds is not None:
            batch.working_seconds = event.working_seconds


def _batch_wetted(floor: Floor, entry: e.Entry) -> None:
    if batch := _with_batch(floor, entry):
        if batch.wetted_at is not None:
            message = f"Batch {batch.serial} was wetted twice."
            floor.flags.append(Flag(entry.seq, "twice", message))
            return
        batch.wetted_at = entry.at


def _batch_staged(floor: Floor, entry: e.Entry) -> None:
    event = entry.event
    assert isinstance(event, e.BatchStaged)
    if batch := _with_batch(floor, entry):
        batch.stages_done = max(batch.stages_done, event.stage + 1)


def _batch_lost(floor: Floor, entry: e.Entry) -> None:
    if batch := _with_batch(floor, entry):
        batch.lost_at = entry.at


def _mold(floor: Floor, entry: e.Entry) -> MoldState:
    return floor.molds.setdefault(entry.event.touched_mold() or "", MoldState())


def _mold_taken_out(floor: Floor, entry: e.Entry) -> None:
    _mold(floor, entry).in_service = False


def _mold_put_back(floor: Floor, entry: e.Entry) -> None:
    _mold(floor, entry).in_service = True


def _mold_cared_for(floor: Floor, entry: e.Entry) -> None:
    mold = _mold(floor, entry)
    mold.pulls_at_care = mold.pulls


def _mold_rested(floor: Floor, entry: e.Entry) -> None:
    event = entry.event
    assert isinstance(event, e.MoldRested)
    _mold(floor, entry).rests_until = event.until


def _person_left(floor: Floor, entry: e.Entry) -> None:
    event = entry.event
    assert isinstance(event, e.PersonLeft)
    floor.away[event.who] = entry.at


def _person_back(floor: Floor, entry: e.Entry) -> None:
    event = entry.event
    assert isinstance(event, e.PersonBack)
    floor.away.pop(event.who, None)


def _conditions_read(floor: Floor, entry: e.Entry) -> None:
    event = entry.event
    assert isinstance(event, e.ConditionsRead)
    floor.conditions, floor.conditions_at = event, entry.at


OTHER_HANDLERS: dict[type[e.Event], Callable[[Floor, e.Entry], None]] = {
    e.BatchBegun: _batch_begun,
    e.MaterialWeighed: _material_weighed,
    e.BatchCorrected: _batch_corrected,
    e.BatchWetted: _batch_wetted,
    e.BatchStaged: _batch_staged,
    e.BatchLost: _batch_lost,
    e.MoldTakenOut: _mold_taken_out,
    e.MoldPutBack: _mold_put_back,
    e.MoldCaredFor: _mold_cared_for,
    e.MoldRested: _mold_rested,
    e.PersonLeft: _person_left,
    e.PersonBack: _person_back,
    e.ConditionsRead: _conditions_read,
}
