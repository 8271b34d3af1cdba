"""Rules of hands: one task at a time, within the shift, by somebody who can do it, long enough."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.planning.plan_rules.breach import (
    TOLERANCE_SECONDS,
    Breach,
    count,
    seconds,
    span_text,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

    from floorboard.planning.plan_rules.known import Known, Work

SKILL_OF = {
    "ready": "ready",
    "batch": "layer",
    "layer": "layer",
    "demold": "demold",
    "step": "finish",
}


def one_task_a_person(known: Known) -> Iterator[Breach]:
    """Check that nobody does two hands-on tasks at once."""
    for person, works in known.works_by_person().items():
        for place, work in enumerate(works):
            for other in works[place + 1 :]:
                if other.start >= work.end - TOLERANCE_SECONDS:
                    break
                if _is_fact(known, work) and _is_fact(known, other):
                    continue
                overlap = min(work.end, other.end) - other.start
                if overlap <= TOLERANCE_SECONDS:
                    continue
                message = (
                    f"{person} has {work.what} and {other.what} at once for {span_text(overlap)}."
                )
                yield seconds("one task a person", person, overlap, message)


def shift(known: Known) -> Iterator[Breach]:
    """Check that planned work lies in one working stretch of its person."""
    for work in known.works:
        if work.task.fixed or work.task.person not in known.stretches:
            continue
        outside = min(
            (
                max(0.0, first - work.start) + max(0.0, work.end - last)
                for first, last in known.stretches[work.task.person]
            ),
            default=work.end - work.start,
        )
        # Layers of a batch already in hand have to be poured, break or no break.
        if outside > TOLERANCE_SECONDS and not _poured_from_hand(known, work):
            message = (
                f"{work.what} lies {span_text(outside)} outside the working time of "
                f"{work.task.person}."
            )
            yield seconds("shift", work.task.person, outside, message)


def _is_fact(known: Known, work: Work) -> bool:
    return work.task.fixed or _poured_from_hand(known, work)


def _poured_from_hand(known: Known, work: Work) -> bool:
    return work.task.kind in {"batch", "layer"} and (work.task.batch or "") in known.floor.batches


def skill(known: Known) -> Iterator[Breach]:
    """Check that each task is given to somebody with the skill for it."""
    for work in known.works:
        person = known.shop.people.get(work.task.person)
        if person is None:
            message = f"{work.what} is given to {work.task.person}, whom the shop does not have."
            yield count("skill", work.task.person, message)
            continue
        wanted = SKILL_OF[work.task.kind]
        if (
            wanted not in person.skills
            and not work.task.fixed
            and not _poured_from_hand(known, work)
        ):
            message = f"{work.what} is given to {work.task.person}, who lacks the skill '{wanted}'."
            yield count("skill", work.task.person, message)


def length(known: Known) -> Iterator[Breach]:
    """Check that each task takes at least its time, and one in hand what is left of it."""
    for work in known.works:
        if work.task.fixed:
            # It is not over, whatever its time says.
            short = max(work.start, 0.0) - work.end
        else:
            short = _least_seconds(known, work) - (work.end - work.start)
        if short > TOLERANCE_SECONDS:
            message = f"{work.what} is planned {span_text(short)} too short."
            yield seconds("length", work.task.castings[0], short, message)


def _least_seconds(known: Known, work: Work) -> float:
    subject = known.subjects.get(work.task.castings[0])
    if subject is None:
        return 0.0
    piece, index = subject.build.piece, work.task.index
    match work.task.kind:
        case "ready":
            return float(piece.ready)
        case "demold":
            return float(piece.demold)
        case "layer":
            return float(piece.layers[index].apply) if index < len(piece.layers) else 0.0
        case "step":
            if index >= len(piece.route):
                return 0.0
            step = piece.route[index]
            return float(step.takes) + float(step.each_more) * (len(work.task.castings) - 1)
        case "batch":
            if (work.task.batch or "") in known.floor.batches:
                return 0.0
            batch = known.batches.get(work.task.batch or "")
            mix = subject.build.mixes.get(batch.mix) if batch is not None else None
            return known.times.of(mix).making if mix is not None else 0.0
