"""Rules of fact: the past and the work in hand are fixed, and what a plan states is so."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.planning.in_hand import live_in_hand
from floorboard.planning.plan_rules.breach import (
    TOLERANCE_SECONDS,
    Breach,
    count,
    seconds,
    span_text,
)
from floorboard.planning.plan_rules.castings import finishing_since

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterator

    from floorboard.floor.floor import InHand
    from floorboard.planning.plan import PlannedCure
    from floorboard.planning.plan_rules.known import Known, Work


def past(known: Known) -> Iterator[Breach]:
    """Check that nothing that is not in hand starts before the plan was made."""
    for work in known.works:
        fact = work.task.fixed or (
            work.task.kind == "batch" and work.task.batch in known.floor.batches
        )
        if not fact and work.start < -TOLERANCE_SECONDS:
            message = f"{work.what} is planned {span_text(-work.start)} in the past."
            yield seconds("past", work.task.castings[0], -work.start, message)


def in_hand(known: Known) -> Iterator[Breach]:
    """Check that work in hand is carried as logged, all of it, and that nothing else is so marked."""
    for task in live_in_hand(known.floor, known.plan.made_at):
        if not _carried(known, task):
            subject = task.casting or task.batch or task.person
            message = f"The {task.kind} of {subject}, in hand of {task.person}, is not carried on."
            yield count("in hand", subject, message)
    for work in known.works:
        if work.task.fixed and not _is_fact(known, work):
            message = f"{work.what} is marked as in hand, but was not begun so on the floor."
            yield count("in hand", work.task.castings[0], message)
    for entry in known.plan.batches:
        logged = known.floor.batches.get(entry.id)
        if entry.fixed != (logged is not None):
            yield count("in hand", entry.id, f"Batch {entry.id} is not what the floor says it is.")
        if logged is not None and (logged.begun_at, logged.person) != (entry.start, entry.person):
            yield count("in hand", entry.id, f"Batch {entry.id} is not carried as it was logged.")


def _carried(known: Known, task: InHand) -> bool:
    if task.kind == "batch":
        entry = known.batches.get(task.batch or "")
        # A batch whose every casting is lost is thrown away rather than carried on.
        return (entry is not None and entry.fixed) or all(
            serving.casting in known.lost for serving in known.serves[task.batch or ""]
        )
    wanted = set(task.castings or (task.casting,))
    return any(
        work.task.fixed
        and work.task.kind == task.kind
        and work.task.person == task.person
        and work.task.index == task.index
        and wanted <= set(work.task.castings)
        and known.at(task.since) == work.start
        for work in known.works
    )


def _is_fact(known: Known, work: Work) -> bool:
    begun = [_begun_at(known, work, serial) for serial in work.task.castings]
    return bool(begun) and all(
        at is not None and abs(known.at(at) - work.start) <= TOLERANCE_SECONDS for at in begun
    )


def _begun_at(known: Known, work: Work, serial: str) -> dt.datetime | None:
    kind, index = work.task.kind, work.task.index
    if kind == "batch":
        logged = known.floor.batches.get(work.task.batch or "")
        return logged.begun_at if logged is not None else None
    casting = known.floor.castings.get(serial)
    if casting is None:
        return None
    if kind == "ready" and casting.readied_at is None:
        return casting.begun_at
    if kind == "layer" and index < len(casting.coats):
        coat = casting.coats[index]
        return coat.begun_at if coat.applied_at is None else None
    if kind == "demold" and casting.demolded_at is None:
        return casting.demold_begun_at
    if kind == "step" and index < len(casting.steps):
        step = casting.steps[index]
        return step.begun_at if step.done_at is None else None
    return None


def stated(known: Known) -> Iterator[Breach]:
    """Check the horizon, the cures and the moments that the plan states."""
    for work in known.works:
        over = work.end - known.until
        if over > TOLERANCE_SECONDS and not work.task.fixed:
            message = f"{work.what} ends {span_text(over)} after the plan does."
            yield seconds("stated", work.task.castings[0], over, message)
    for entry in known.plan.castings:
        subject = known.subjects.get(entry.id)
        if subject is None or entry.demolded_at is None:
            continue
        fact = subject.fact.demolded_at if subject.fact is not None else None
        ends = [work.end for work in subject.demold] or ([known.at(fact)] if fact else [])
        off = abs(known.at(entry.demolded_at) - ends[0]) if ends else known.until
        if off > TOLERANCE_SECONDS:
            message = f"{entry.id} is said to be demolded {span_text(off)} off its demold."
            yield seconds("stated", entry.id, off, message)
    for cure in known.plan.cures:
        yield from _cure(known, cure)


def _cure(known: Known, cure: PlannedCure) -> Iterator[Breach]:
    subject = known.subjects.get(cure.casting)
    if subject is None:
        return
    piece, since, least = subject.build.piece, None, 0.0
    if cure.kind in {"partial cure", "full cure"} and cure.index < len(piece.layers):
        applied = known.applied(subject, cure.index)
        wait = (
            piece.full_cure if cure.kind == "full cure" else piece.layers[cure.index].partial_cure
        )
        if applied is not None:
            since, least = applied[0], float(wait) * applied[1]
    elif cure.index < len(piece.route):
        after = finishing_since(known, subject, cure.index)
        if after is not None:
            since, least = after[0] + after[1], float(piece.route[cure.index].takes)
    if since is None:
        yield count("stated", cure.casting, f"The {cure.kind} of {cure.casting} follows nothing.")
        return
    off = max(abs(known.at(cure.start) - since), since + least - known.at(cure.end))
    if off > TOLERANCE_SECONDS:
        message = f"The {cure.kind} of {cure.casting} is drawn {span_text(off)} off."
        yield seconds("stated", cure.casting, off, message)
