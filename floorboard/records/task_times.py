"""How long hands-on tasks took, from the log, each under one name.

A session of several castings is brought back to what one alone would have taken, by the step's own
share for each further casting.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterable, Iterator

    from floorboard.floor import history_rows as h
    from floorboard.shop.pieces import Step
    from floorboard.shop.shop import Shop


@dataclass(frozen=True, slots=True)
class Task:
    """A hands-on task of the shop: its name in decisions, in words, and the shop's own time."""

    key: str
    name: str
    stated_minutes: float


@dataclass(frozen=True, slots=True)
class Sample:
    """One time a task took."""

    task: str
    person: str | None
    minutes: float
    ended_at: dt.datetime


def tasks_of(shop: Shop) -> Iterator[Task]:
    """Yield the shop's hands-on tasks, piece by piece in the order of the work, then its mixes."""
    for key, piece in shop.pieces.items():
        yield Task(f"ready {key}", f"{piece.name}: ready the mold", piece.ready / 60)
        for place, layer in enumerate(piece.layers, start=1):
            name = layer.name or f"layer {place}"
            yield Task(f"layer {key} {place}", f"{piece.name}: {name}", layer.apply / 60)
        yield Task(f"demold {key}", f"{piece.name}: demold", piece.demold / 60)
        for place, step in enumerate(piece.route, start=1):
            if not step.passive:
                name = step.name or step.kind
                yield Task(f"step {key} {place}", f"{piece.name}: {name}", step.takes / 60)
    for key, mix in shop.mixes.items():
        yield Task(f"batch {key}", f"{mix.name}: weigh and mix", mix.making_seconds / 60)


def samples_of(works: Iterable[h.WorkRow], shop: Shop) -> list[Sample]:
    """Return how long each task took, in order of their ends; those without a beginning left out."""
    seen: set[tuple[object, ...]] = set()
    found = []
    for work in works:
        task = _task(work)
        if work.begun_at is None or task is None:
            continue
        key = (task, work.person, work.begun_at, work.ended_at)
        if work.shared_by > 1:
            # Each casting of a session has a row of its own.
            if key in seen:
                continue
            seen.add(key)
        minutes = (work.ended_at - work.begun_at).total_seconds() / 60
        minutes *= _alone(_step(shop, work), work.shared_by)
        found.append(Sample(task, work.person, minutes, work.ended_at))
    return found


def _task(work: h.WorkRow) -> str | None:
    match work.kind:
        case "ready" | "demold":
            return f"{work.kind} {work.piece}"
        case "layer" | "step":
            return f"{work.kind} {work.piece} {work.number + 1}"
        case "batch":
            return f"batch {work.mix}"
        case _:
            return None


def _step(shop: Shop, work: h.WorkRow) -> Step | None:
    piece = shop.pieces.get(work.piece or "")
    if work.kind != "step" or piece is None or work.number >= len(piece.route):
        return None
    return piece.route[work.number]


def _alone(step: Step | None, castings: int) -> float:
    """Return the share of a session's time that one casting alone would have taken."""
    if step is None or castings <= 1 or step.takes <= 0:
        return 1.0
    return float(step.takes) / (float(step.takes) + (castings - 1) * float(step.each_more))
