"""Rules of castings: cures, windows and waits kept, one casting a mold, each planned whole."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.floor.standing import mold_in_service, pulls_of
from floorboard.planning.plan_rules.breach import (
    TOLERANCE_SECONDS,
    Breach,
    count,
    seconds,
    span_text,
)
from floorboard.planning.time_grid import COARSE_SECONDS

if TYPE_CHECKING:
    from collections.abc import Iterator

    from floorboard.planning.plan_rules.known import Known, Subject, Work


def partial_cure(known: Known) -> Iterator[Breach]:
    """Check that no layer starts before the partial cure of the one before is reached."""
    for subject, layer, work, wait in _recoats(known):
        applied, factor = wait
        short = applied + float(subject.build.piece.layers[layer - 1].partial_cure) * factor
        if short - work.start > TOLERANCE_SECONDS:
            early = short - work.start
            message = f"{work.what} starts {span_text(early)} before the partial cure is reached."
            yield seconds("partial cure", subject.serial, early, message)


def recoat_window(known: Known) -> Iterator[Breach]:
    """Check that no layer starts after the recoat window of the one before has closed."""
    for subject, layer, work, (applied, factor) in _recoats(known):
        by = subject.build.piece.layers[layer - 1].recoat_by
        late = 0.0 if by is None else work.start - applied - float(by) * factor
        if late > TOLERANCE_SECONDS:
            message = f"{work.what} starts {span_text(late)} after its recoat window closed."
            yield seconds("recoat window", subject.serial, late, message)


def _recoats(known: Known) -> Iterator[tuple[Subject, int, Work, tuple[float, float]]]:
    """Yield the layers to come that have one before them: its end and the factor of its cure."""
    for subject in known.subjects.values():
        for layer, works in subject.layers.items():
            if layer == 0 or layer >= len(subject.build.piece.layers):
                continue
            before = known.applied(subject, layer - 1)
            for work in works:
                if not work.task.fixed and before is not None:
                    yield subject, layer, work, before[:2]


def readied(known: Known) -> Iterator[Breach]:
    """Check that the first layer goes into a mold that is readied."""
    for subject in known.subjects.values():
        for work in subject.layers.get(0, []):
            ready = max((entry.end for entry in subject.ready), default=None)
            if ready is None or work.task.fixed:
                continue
            early = ready - work.start
            if early > TOLERANCE_SECONDS:
                message = f"{work.what} starts {span_text(early)} before the mold is readied."
                yield seconds("readied", subject.serial, early, message)


def full_cure(known: Known) -> Iterator[Breach]:
    """Check that nothing is demolded before its full cure is reached."""
    for subject in known.subjects.values():
        last = known.applied(subject, len(subject.build.piece.layers) - 1)
        for work in subject.demold:
            if work.task.fixed or last is None:
                continue
            early = last[0] + float(subject.build.piece.full_cure) * last[1] - work.start
            if early > TOLERANCE_SECONDS:
                message = f"{work.what} starts {span_text(early)} before the full cure is reached."
                yield seconds("full cure", subject.serial, early, message)


def finishing_waits(known: Known) -> Iterator[Breach]:
    """Check the waits of the finishing route, least and greatest."""
    for subject in known.subjects.values():
        for index, works in subject.steps.items():
            if index >= len(subject.build.piece.route):
                continue
            for work in works:
                if not work.task.fixed:
                    yield from _finishing_wait(known, subject, index, work)


def _finishing_wait(known: Known, subject: Subject, index: int, work: Work) -> Iterator[Breach]:
    since = finishing_since(known, subject, index)
    if since is None:
        return
    at, passive, fact = since
    opens = at + passive
    if opens - work.start > TOLERANCE_SECONDS:
        early = opens - work.start
        message = f"{work.what} starts {span_text(early)} before the wait before it is over."
        yield seconds("waiting time", subject.serial, early, message)
    by = subject.build.piece.route[index].start_by
    # What closes before the first step of the grid is over as far as any plan can tell.
    if by is None or (fact and opens + float(by) < COARSE_SECONDS):
        return
    late = work.start - opens - float(by)
    if late > TOLERANCE_SECONDS:
        message = f"{work.what} starts {span_text(late)} later than it may after the step before."
        yield seconds("start by", subject.serial, late, message)


def finishing_since(known: Known, subject: Subject, index: int) -> tuple[float, float, bool] | None:
    """Return when the hands-on step before step `index` ends, the passive seconds between, fact.

    The end of a step in hand is a fact, too: no plan can put it elsewhere.
    """
    route, fact = subject.build.piece.route, subject.fact
    passive, before = 0.0, index - 1
    while before >= 0 and route[before].passive:
        passive += float(route[before].takes)
        before -= 1
    planned = subject.steps.get(before) if before >= 0 else subject.demold
    if planned:
        return planned[0].end, passive, planned[0].task.fixed
    if fact is None:
        return None
    done = fact.steps[before].done_at if before >= 0 else fact.demolded_at
    if done is None:
        return None
    at = known.at(done)
    if fact.sent_back_at is not None:
        at = max(at, known.at(fact.sent_back_at))
    return at, passive, True


def one_casting_a_mold(known: Known) -> Iterator[Breach]:
    """Check that a mold holds one casting from the start of readying to the end of demold."""
    spans: dict[str, list[tuple[float, float, str, bool]]] = {}
    for subject in known.subjects.values():
        fact = subject.fact
        if fact is not None and (not fact.in_mold or subject.serial in known.gone):
            continue
        if fact is None and not subject.planned:
            continue
        start = min((work.start for work in subject.ready), default=float("-inf"))
        start = float("-inf") if fact is not None else start
        end = max((work.end for work in subject.demold), default=float("inf"))
        spans.setdefault(subject.mold, []).append((start, end, subject.serial, fact is not None))
    for mold, held in spans.items():
        held.sort()
        for place, (_, end, serial, fact_1) in enumerate(held):
            for start, _, other, fact_2 in held[place + 1 :]:
                overlap = end - start
                if overlap > TOLERANCE_SECONDS and not (fact_1 and fact_2):
                    amount = min(overlap, known.until)
                    message = f"Mold {mold} is to hold {serial} and {other} at once."
                    yield seconds("one casting a mold", mold, amount, message)


def mold_out(known: Known) -> Iterator[Breach]:
    """Check that new castings are begun only in molds that may be used, and of the right piece."""
    begun: dict[str, int] = {}
    for subject in sorted(known.subjects.values(), key=lambda subject: subject.serial):
        if subject.fact is not None or not subject.planned:
            continue
        key = subject.mold
        mold = known.shop.molds.get(key)
        if mold is None or mold.piece != subject.build.piece_id:
            what = "is not in the shop" if mold is None else f"is one of {mold.piece}"
            yield count(
                "mold out", key, f"{subject.serial} is planned in mold {key}, which {what}."
            )
            continue
        if not mold_in_service(known.shop, known.floor, key):
            yield count("mold out", key, f"{subject.serial} is planned in {key}, out of service.")
        logged = known.floor.molds.get(key)
        rests = logged.rests_until if logged is not None else None
        start = min((work.start for work in subject.ready), default=0.0)
        if rests is not None and known.at(rests) - start > TOLERANCE_SECONDS:
            early = known.at(rests) - start
            message = f"{subject.serial} is begun in {key} {span_text(early)} before it has rested."
            yield seconds("mold out", key, early, message)
        begun[key] = begun.get(key, 0) + 1
    for key, castings in begun.items():
        yield from _worn(known, key, castings)


def _worn(known: Known, key: str, castings: int) -> Iterator[Breach]:
    limit = known.shop.molds[key].retire_at
    if limit is None:
        return
    held = known.floor.casting_in(key)
    filling = 1 if held is not None and held.layers_applied == 0 else 0
    over = pulls_of(known.shop, known.floor, key) + filling + castings - limit
    if over > 0:
        message = f"Mold {key} is to be retired at {limit} pulls; {min(over, castings)} go beyond."
        yield count("mold out", key, message, min(over, castings))


def whole(known: Known) -> Iterator[Breach]:
    """Check that every casting planned is planned whole, and finishing steps in order."""
    for serial in dict.fromkeys(known.strangers):
        yield count("whole", serial, f"The plan has work on {serial}, which it does not list.")
    for subject in known.subjects.values():
        if known.chosen(subject) or (subject.fact is None and subject.steps):
            yield from _whole_casting(known, subject)
        yield from _whole_route(subject)


def _whole_casting(known: Known, subject: Subject) -> Iterator[Breach]:
    fact, layers = subject.fact, len(subject.build.piece.layers)
    if subject.serial in known.lost:
        return
    wanted: list[tuple[str, int]] = []
    if fact is None or (fact.readied_at is None and fact.layers_applied == 0 and subject.ready):
        wanted.append(("ready", len(subject.ready)))
    first = 0 if fact is None else fact.layers_applied
    wanted += [(f"layer {n + 1}", len(subject.layers.get(n, []))) for n in range(first, layers)]
    if fact is None or fact.demolded_at is None:
        wanted.append(("demold", len(subject.demold)))
    for what, times in wanted:
        if times != 1:
            message = f"The {what} of {subject.serial} is planned {times} times, not once."
            yield count("whole", subject.serial, message)
    beyond = [n + 1 for n in subject.layers if n < first or n >= layers]
    if beyond:
        message = f"{subject.serial} has no layer {beyond[0]} to come."
        yield count("whole", subject.serial, message, len(beyond))


def _whole_route(subject: Subject) -> Iterator[Breach]:
    route, fact = subject.build.piece.route, subject.fact
    if not any(subject.steps.values()):
        return
    due = fact.next_step if fact is not None else 0
    in_hand = {n for n, works in subject.steps.items() if any(w.task.fixed for w in works)}
    hands_on = [n for n in range(due, len(route)) if not route[n].passive and n not in in_hand]
    planned = sorted(n for n, works in subject.steps.items() if works and n not in in_hand)
    if planned != hands_on[: len(planned)]:
        message = f"The finishing of {subject.serial} is planned with a step left out or repeated."
        yield count("whole", subject.serial, message)
    for index, works in subject.steps.items():
        if len(works) > 1:
            message = f"Step {index + 1} of {subject.serial} is planned {len(works)} times."
            yield count("whole", subject.serial, message)
    if (fact is None or fact.demolded_at is None) and not subject.demold:
        message = f"The finishing of {subject.serial} is planned without its demold."
        yield count("whole", subject.serial, message)


def left_out(known: Known) -> Iterator[Breach]:
    """Check that a casting whose recoat window closes is carried on or named as lost."""
    for subject in known.subjects.values():
        fact = subject.fact
        if fact is None or not fact.in_mold or fact.set_aside:
            continue
        if subject.serial in known.lost or subject.serial in known.gone:
            continue
        layers = len(subject.build.piece.layers)
        done = next((n for n in range(layers) if known.applied(subject, n) is None), layers)
        if done in (0, layers):
            continue
        by = subject.build.piece.layers[done - 1].recoat_by
        before = known.applied(subject, done - 1)
        if by is None or before is None or before[0] + float(by) * before[1] >= known.until:
            continue
        yield count(
            "left out",
            subject.serial,
            f"{subject.serial} waits for layer {done + 1} and is left out.",
        )
