"""How entries change a casting, from readying its mold to demold, reject and rework."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from floorboard.floor import events as e
from floorboard.floor.casting import Casting, Flag, Weighing
from floorboard.floor.flags import GRACE_SECONDS, flag, in_words
from floorboard.floor.floor import Floor, MoldState
from floorboard.floor.waits import next_wait, recoat_window

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from floorboard.floor.batch import Batch
    from floorboard.shop.build import Build


def begin_casting(
    floor: Floor, entry: e.Entry, event: e.CastingBegun, builds: Mapping[str, Build]
) -> None:
    if event.casting in floor.castings:
        flag(floor.castings[event.casting], entry, "twice", "The casting was begun twice.")
        return
    build = builds.get(event.build)
    if build is None:
        message = f"The build {event.build} of casting {event.casting} is not kept."
        floor.flags.append(Flag(entry.seq, "unknown", message))
        return
    held = floor.casting_in(event.mold)
    casting = Casting.begin(event.casting, event.mold, build, entry.at, entry.person, event.order)
    if held is not None:
        message = f"Begun while the mold still held casting {held.serial}."
        flag(casting, entry, "one casting a mold", message)
    floor.castings[event.casting] = casting
    _note_task(floor, casting, entry)


def _note_task(floor: Floor, casting: Casting, entry: e.Entry) -> None:
    """Flag a task begun by someone who is in the midst of another."""
    if entry.person is None:
        return
    others = [
        task
        for task in floor.all_in_hand()
        if task.person == entry.person
        and task.casting != casting.serial
        and casting.serial not in task.castings
        and not (task.batch and _serves(floor, task.batch, casting.serial))
    ]
    if others:
        what = others[0].casting or others[0].batch
        flag(casting, entry, "one task a person", f"Begun while {what} was still in hand.")


def _serves(floor: Floor, batch: str, serial: str) -> bool:
    return any(serving.casting == serial for serving in floor.batches[batch].servings)


def _mold_readied(floor: Floor, casting: Casting, entry: e.Entry) -> None:
    if casting.readied_at is not None:
        flag(casting, entry, "twice", "The mold was readied twice.")
        return
    casting.readied_at = entry.at


def _layer_begun(floor: Floor, casting: Casting, entry: e.Entry) -> None:
    event = entry.event
    assert isinstance(event, e.LayerBegun)
    if not _layer_fits(casting, entry, event.layer):
        return
    coat = casting.coats[event.layer]
    if coat.begun_at is not None:
        flag(casting, entry, "twice", f"Layer {event.layer + 1} was begun twice.")
        return
    _check_window(casting, entry, event.layer)
    _note_task(floor, casting, entry)
    coat.begun_at, coat.batch, coat.person = entry.at, event.batch, entry.person


def _layer_applied(floor: Floor, casting: Casting, entry: e.Entry) -> None:
    event = entry.event
    assert isinstance(event, e.LayerApplied)
    if not _layer_fits(casting, entry, event.layer):
        return
    coat = casting.coats[event.layer]
    if coat.applied_at is not None:
        flag(casting, entry, "twice", f"Layer {event.layer + 1} was applied twice.")
        return
    if coat.begun_at is None:
        spec = casting.build.piece.layers[event.layer]
        coat.begun_at = entry.at - dt.timedelta(seconds=float(spec.apply))
        _check_window(casting, entry, event.layer, coat.begun_at)
    coat.applied_at, coat.grams = entry.at, event.grams
    coat.person = entry.person or coat.person
    coat.batch = event.batch or coat.batch
    if event.layer == 0:
        mold = floor.molds.setdefault(casting.mold, MoldState())
        mold.pulls += 1
    batch = floor.batches.get(coat.batch) if coat.batch else None
    if batch is not None:
        _serve(casting, entry, batch, event.layer)


def _serve(casting: Casting, entry: e.Entry, batch: Batch, layer: int) -> None:
    coat = casting.coats[layer]
    coat.cure_factor = batch.cure_factor
    batch.served.add((casting.serial, layer))
    batch.last_at = entry.at
    if coat.grams is None:
        serving = next(
            (s for s in batch.servings if (s.casting, s.layer) == (casting.serial, layer)), None
        )
        coat.grams = serving.grams if serving else None
    if batch.sets_at is not None:
        over = (entry.at - batch.sets_at).total_seconds()
        if over > GRACE_SECONDS:
            message = f"Layer {layer + 1} was still worked {in_words(over)} after the working time."
            flag(casting, entry, "working time", message, over)


def _layer_fits(casting: Casting, entry: e.Entry, layer: int) -> bool:
    if layer >= len(casting.coats):
        message = f"The casting has {len(casting.coats)} layers, not {layer + 1}."
        flag(casting, entry, "unknown", message)
        return False
    if layer > casting.layers_applied:
        message = f"Layer {layer + 1} was logged before layer {casting.layers_applied + 1}."
        flag(casting, entry, "out of order", message)
    if not casting.in_mold:
        flag(casting, entry, "out of order", "The casting is no longer in its mold.")
    return True


def _check_window(
    casting: Casting, entry: e.Entry, layer: int, at: dt.datetime | None = None
) -> None:
    if layer == 0 or casting.coats[layer - 1].applied_at is None:
        return
    moment = at or entry.at
    opens, closes = recoat_window(casting, layer)
    early = (opens - moment).total_seconds()
    if early > GRACE_SECONDS:
        message = (
            f"Layer {layer + 1} went in {in_words(early)} before its partial cure was reached."
        )
        flag(casting, entry, "partial cure", message, early)
    late = (moment - closes).total_seconds() if closes is not None else 0.0
    if late > GRACE_SECONDS:
        message = f"Layer {layer + 1} went in {in_words(late)} after its recoat window closed."
        flag(casting, entry, "recoat window", message, late)


def _demold_begun(floor: Floor, casting: Casting, entry: e.Entry) -> None:
    if casting.demold_begun_at is not None or casting.demolded_at is not None:
        flag(casting, entry, "twice", "Demolding was begun twice.")
        return
    _check_demold(casting, entry)
    _note_task(floor, casting, entry)
    casting.demold_begun_at, casting.demold_by = entry.at, entry.person


def _check_demold(casting: Casting, entry: e.Entry) -> None:
    missing = len(casting.coats) - casting.layers_applied
    if missing:
        message = f"Demolded with {missing} of {len(casting.coats)} layers not logged."
        flag(casting, entry, "out of order", message)
        return
    wait = next_wait(casting)
    early = (wait.opens_at - entry.at).total_seconds() if wait and wait.kind == "demold" else 0.0
    if early > GRACE_SECONDS:
        message = f"Demolded {in_words(early)} before its full cure was reached."
        flag(casting, entry, "full cure", message, early)


def _demolded(floor: Floor, casting: Casting, entry: e.Entry) -> None:
    if casting.demolded_at is not None:
        flag(casting, entry, "twice", "The casting was demolded twice.")
        return
    if casting.demold_begun_at is None:
        _check_demold(casting, entry)
    casting.demolded_at = entry.at
    casting.demold_by = entry.person or casting.demold_by


def _rejected(floor: Floor, casting: Casting, entry: e.Entry) -> None:
    event = entry.event
    assert isinstance(event, e.CastingRejected)
    if casting.rejected_at is not None:
        flag(casting, entry, "twice", "The casting was rejected twice.")
        return
    casting.rejected_at, casting.reject_reason = entry.at, event.reason
    for batch in floor.batches.values():
        if not batch.over:
            batch.served |= {
                (s.casting, s.layer) for s in batch.servings if s.casting == casting.serial
            }


def _sent_back(floor: Floor, casting: Casting, entry: e.Entry) -> None:
    event = entry.event
    assert isinstance(event, e.CastingSentBack)
    if casting.demolded_at is None:
        flag(casting, entry, "out of order", "Sent back before it was demolded.")
        return
    if event.step >= len(casting.steps):
        flag(casting, entry, "unknown", f"The route has {len(casting.steps)} steps.")
        return
    casting.rework += 1
    casting.sent_back_at = entry.at
    for step in casting.steps[event.step :]:
        step.begun_at = step.done_at = step.person = None


def _set_aside(floor: Floor, casting: Casting, entry: e.Entry) -> None:
    casting.set_aside = True


def _taken_up(floor: Floor, casting: Casting, entry: e.Entry) -> None:
    casting.set_aside = False


def _inspected(floor: Floor, casting: Casting, entry: e.Entry) -> None:
    """An inspection changes nothing that is waited for; the records read it from the log."""


def _weighed(floor: Floor, casting: Casting, entry: e.Entry) -> None:
    event = entry.event
    assert isinstance(event, e.CastingWeighed)
    casting.weighings.append(Weighing(entry.at, event.grams))


def _wall_read(floor: Floor, casting: Casting, entry: e.Entry) -> None:
    event = entry.event
    assert isinstance(event, e.WallRead)
    casting.walls_mm.append(event.millimetres)


CASTING_HANDLERS: dict[type[e.Event], Callable[[Floor, Casting, e.Entry], None]] = {
    e.MoldReadied: _mold_readied,
    e.LayerBegun: _layer_begun,
    e.LayerApplied: _layer_applied,
    e.DemoldBegun: _demold_begun,
    e.Demolded: _demolded,
    e.CastingRejected: _rejected,
    e.CastingSentBack: _sent_back,
    e.CastingSetAside: _set_aside,
    e.CastingTakenUp: _taken_up,
    e.CastingInspected: _inspected,
    e.CastingWeighed: _weighed,
    e.WallRead: _wall_read,
}
