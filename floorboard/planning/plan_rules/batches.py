"""Rules of batches: made and used by one person without a gap, inside the working time."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.mixing.amounts import made_grams
from floorboard.planning.day_times import grams_of_layer
from floorboard.planning.plan_rules.breach import (
    TOLERANCE_SECONDS,
    Breach,
    count,
    grams,
    seconds,
    span_text,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

    from floorboard.planning.plan import PlannedBatch
    from floorboard.planning.plan_rules.known import Known, Work
    from floorboard.shop.mixes import Mix


def batch(known: Known) -> Iterator[Breach]:
    """Check that each batch is made once and applied at once by one person, each layer from one."""
    for entry in known.plan.batches:
        yield from _made(known, entry)
        yield from _used(known, entry)
    for work in known.works:
        task = work.task
        if task.kind == "batch" and (task.batch or "") not in known.batches:
            yield count("batch", task.batch or "?", f"{work.what} makes a batch that is not there.")
        if task.kind != "layer" or task.fixed:
            continue
        from_batch = known.batches.get(task.batch or "")
        served = {(s.casting, s.layer) for s in from_batch.servings} if from_batch else set()
        if (task.castings[0], task.index) not in served:
            yield count("batch", task.castings[0], f"{work.what} comes from no batch of the plan.")


def _made(known: Known, entry: PlannedBatch) -> Iterator[Breach]:
    makings = [w for w in known.of_batch[entry.id] if w.task.kind == "batch"]
    fact = known.batch_is_fact(entry)
    if len(makings) != 1 and not (fact and not makings):
        yield count("batch", entry.id, f"Batch {entry.id} is made {len(makings)} times, not once.")
        return
    for work in makings:
        off = abs(work.start - known.at(entry.start)) + abs(work.end - known.at(entry.ready))
        if off > TOLERANCE_SECONDS:
            message = f"Batch {entry.id} and the task that makes it differ by {span_text(off)}."
            yield seconds("batch", entry.id, off, message)
        if work.task.person != entry.person:
            message = f"Batch {entry.id} of {entry.person} is made by {work.task.person}."
            yield count("batch", entry.id, message)


def _used(known: Known, entry: PlannedBatch) -> Iterator[Breach]:
    pours = _pours(known, entry)
    if len(pours) != len(entry.servings) or not pours:
        message = f"Batch {entry.id} serves {len(entry.servings)} layers, {len(pours)} are planned."
        yield count("batch", entry.id, message)
        return
    at = known.at(entry.ready)
    for place, work in enumerate(pours):
        gap = work.start - at
        # A batch begun on the floor may have to be held until the cure is reached.
        held = known.batch_is_fact(entry)
        allowed = known.walk if place else 0.0
        if gap > allowed + TOLERANCE_SECONDS and not held:
            message = f"Batch {entry.id} stands {span_text(gap)} before {work.what}."
            yield seconds("batch", entry.id, gap, message)
        if gap < -TOLERANCE_SECONDS and not (held and place == 0 and work.task.fixed):
            message = (
                f"{work.what} starts {span_text(-gap)} before batch {entry.id} is free for it."
            )
            yield seconds("batch", entry.id, -gap, message)
        if work.task.person != entry.person:
            message = f"{work.what} is applied by {work.task.person}, not by {entry.person}."
            yield count("batch", entry.id, message)
        at = work.end
    off = abs(at - known.at(entry.end))
    if off > TOLERANCE_SECONDS:
        message = f"Batch {entry.id} is said to end {span_text(off)} off its last layer."
        yield seconds("batch", entry.id, off, message)


def _pours(known: Known, entry: PlannedBatch) -> list[Work]:
    wanted = {(serving.casting, serving.layer) for serving in entry.servings}
    found = [
        work
        for work in known.of_batch[entry.id]
        if work.task.kind == "layer" and (work.task.castings[0], work.task.index) in wanted
    ]
    return sorted(found, key=lambda work: work.start)


def working_time(known: Known) -> Iterator[Breach]:
    """Check that each new batch is used up inside its working time less the margin."""
    for entry in known.plan.batches:
        mix = _mix(known, entry)
        if mix is None or known.batch_is_fact(entry):
            continue
        times = known.times.of(mix)
        start, wet = known.at(entry.start), known.at(entry.wet)
        hasty = max(
            times.before_wet - (wet - start),
            times.making - times.before_wet - (known.at(entry.ready) - wet),
        )
        if hasty > TOLERANCE_SECONDS:
            message = f"Batch {entry.id} is wetted or ready {span_text(hasty)} too soon."
            yield seconds("working time", entry.id, hasty, message)
        over = known.at(entry.end) - wet - (times.working - known.margin)
        if over > TOLERANCE_SECONDS:
            message = (
                f"Batch {entry.id} is still worked {span_text(over)} after its working time of "
                f"{span_text(times.working)} less the margin of {span_text(known.margin)}."
            )
            yield seconds("working time", entry.id, over, message)


def one_wet_batch(known: Known) -> Iterator[Breach]:
    """Check that a person with a batch in hand does nothing else until it is used up."""
    by_person = known.works_by_person()
    for entry in known.plan.batches:
        first, last = max(known.at(entry.start), 0.0), known.at(entry.end)
        for work in by_person.get(entry.person, []):
            if work.start >= last:
                break
            if work.end <= first:
                continue
            if work.task.batch == entry.id:
                continue
            # Who has two batches, or a batch and something else, in hand has them by no choice.
            begun = work.task.fixed or (work.task.batch or "") in known.floor.batches
            if begun and known.batch_is_fact(entry):
                continue
            overlap = min(last, work.end) - max(first, work.start)
            if overlap > TOLERANCE_SECONDS:
                message = f"{entry.person} has {work.what} while batch {entry.id} is in hand."
                yield seconds("one wet batch", entry.person, overlap, message)


def bucket(known: Known) -> Iterator[Breach]:
    """Check that each new batch is enough for its layers, loss included, and fits the bucket."""
    slack = max(1.0, float(known.shop.shop.scale_resolution))
    for entry in known.plan.batches:
        mix = _mix(known, entry)
        if mix is None or known.batch_is_fact(entry):
            continue
        wanted = 0.0
        for serving in entry.servings:
            subject = known.subjects.get(serving.casting)
            if subject is None or serving.layer >= len(subject.build.piece.layers):
                continue
            takes = grams_of_layer(subject.build, serving.layer)
            wanted += takes
            if abs(takes - serving.grams) > slack:
                message = f"Layer {serving.layer + 1} of {serving.casting} takes {takes:g} g."
                yield grams("bucket", entry.id, abs(takes - serving.grams), message)
        needed = made_grams(mix, wanted) if wanted > 0 else 0.0
        if needed - entry.grams > slack:
            message = f"Batch {entry.id} makes {entry.grams:g} g where {needed:g} g are needed."
            yield grams("bucket", entry.id, needed - entry.grams, message)
        over = max(entry.grams, needed) - float(mix.largest_batch)
        if over > 1e-6 * float(mix.largest_batch):
            message = f"Batch {entry.id} is {over:g} g over what the bucket holds."
            yield grams("bucket", entry.id, over, message)


def same_mix(known: Known) -> Iterator[Breach]:
    """Check that all layers of a batch take its mix, as their castings' builds have it."""
    for entry in known.plan.batches:
        first = _mix(known, entry)
        if known.batch_is_fact(entry):
            continue
        for serving in entry.servings:
            subject = known.subjects.get(serving.casting)
            if subject is None or serving.layer >= len(subject.build.piece.layers):
                continue
            wanted = subject.build.piece.layers[serving.layer].mix
            if wanted != entry.mix or subject.build.mixes[wanted] != first:
                message = (
                    f"Layer {serving.layer + 1} of {serving.casting} takes {wanted} as its build "
                    f"has it, not the {entry.mix} of batch {entry.id}."
                )
                yield count("same mix", entry.id, message)


def mix_ahead(known: Known) -> Iterator[Breach]:
    """Check that nothing is mixed before the cure is reached, where that is the shop's way."""
    if known.shop.shop.mix_ahead:
        return
    for entry in known.plan.batches:
        if known.batch_is_fact(entry) or not entry.servings:
            continue
        first = _pours(known, entry)[:1]
        if not first:
            continue
        subject, layer = known.subjects.get(first[0].task.castings[0]), first[0].task.index
        if subject is None or layer == 0:
            continue
        before = known.applied(subject, layer - 1)
        if before is None:
            continue
        cure = float(subject.build.piece.layers[layer - 1].partial_cure) * before[1]
        early = before[0] + cure - known.at(entry.start)
        if early > TOLERANCE_SECONDS:
            message = f"Batch {entry.id} is begun {span_text(early)} before the cure is reached."
            yield seconds("mix ahead", entry.id, early, message)


def _mix(known: Known, entry: PlannedBatch) -> Mix | None:
    for serving in entry.servings:
        subject = known.subjects.get(serving.casting)
        if subject is not None and entry.mix in subject.build.mixes:
            return subject.build.mixes[entry.mix]
    return None
