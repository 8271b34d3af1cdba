"""The rule of stations: no more in use at once than there are places."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.planning.plan_rules.breach import TOLERANCE_SECONDS, Breach, count
from floorboard.planning.plan_rules.castings import finishing_since

if TYPE_CHECKING:
    from collections.abc import Iterator

    from floorboard.planning.plan_rules.known import Known, Subject

# (start, end, whether it is fact)
Use = tuple[float, float, bool]


def station(known: Known) -> Iterator[Breach]:
    """Check every station wherever planned work or drying adds to its use.

    A mixer is in use while a batch is made, a frame while a layer is applied, a booth or bench
    while a step is worked (one place a session), a rack place while the drying time runs (one
    place a casting).
    """
    for key, uses in _uses(known).items():
        if key not in known.shop.stations:
            continue
        places, worst, worst_at = known.shop.stations[key].places, 0, 0.0
        for at in sorted({use[0] for use in uses}):
            here = [u for u in uses if u[0] <= at + TOLERANCE_SECONDS < u[1]]
            if len(here) - places > worst and not all(fact for _, _, fact in here):
                worst, worst_at = len(here) - places, at
        if worst:
            message = (
                f"{known.shop.stations[key].name} is used {worst} beyond its {places} places "
                f"{round(worst_at / 60)} min into the plan."
            )
            yield count("station", key, message, worst)


def _uses(known: Known) -> dict[str, list[Use]]:
    found: dict[str, list[Use]] = {}

    def add(key: str | None, start: float, end: float, fact: bool) -> None:
        if key is not None and end - start > 2 * TOLERANCE_SECONDS:
            found.setdefault(key, []).append((start, end, fact))

    for entry in known.plan.batches:
        for serving in entry.servings[:1]:
            subject = known.subjects.get(serving.casting)
            mix = subject.build.mixes.get(entry.mix) if subject is not None else None
            if mix is not None:
                start, ready = known.at(entry.start), known.at(entry.ready)
                add(mix.station, start, ready, known.batch_is_fact(entry))
    for work in known.works:
        subject = known.subjects.get(work.task.castings[0])
        if subject is None:
            continue
        piece, index = subject.build.piece, work.task.index
        fact = work.task.fixed or (work.task.batch or "") in known.floor.batches
        if work.task.kind == "layer" and index < len(piece.layers):
            add(piece.layers[index].station, work.start, work.end, fact)
        if work.task.kind == "step" and index < len(piece.route):
            add(piece.route[index].station, work.start, work.end, fact)
    for subject in known.subjects.values():
        for key, start, end, fact in drying(known, subject):
            add(key, start, end, fact)
    return found


def drying(known: Known, subject: Subject) -> Iterator[tuple[str | None, float, float, bool]]:
    """Yield the passive steps of a casting whose start is known: station, start, end, fact."""
    route = subject.build.piece.route
    done = subject.fact.next_step if subject.fact is not None else 0
    for index, step in enumerate(route):
        if not step.passive:
            continue
        since = finishing_since(known, subject, index)
        follower = next((n for n in range(index, len(route)) if not route[n].passive), len(route))
        if since is None or (since[2] and follower < done):
            continue
        at, passive, fact = since
        yield step.station, at + passive, at + passive + float(step.takes), fact
