"""The finishing queue: every casting out of its mold, what comes next and whether it may begin.

A step opens when its waiting time is over; after a drying step that weighings end, only when the
weighings say dry as well; a wash or a sealer only when the air allows it. What is logged all the
same is taken as fact; this says what is well to do.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.floor.standing import Thresholds, castings_after_mold
from floorboard.floor.waits import next_wait
from floorboard.records.coating_now import coating_line
from floorboard.records.dry_casting import dry_line
from floorboard.records.finishing_model import FinishingLine, FinishingQueue, RackLine, SessionLine

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Sequence

    from floorboard.floor.casting import Casting
    from floorboard.floor.floor import Floor
    from floorboard.floor.waits import Wait
    from floorboard.records.finishing_model import CoatingLine, DryLine, FinishingState
    from floorboard.shop.pieces import Step
    from floorboard.shop.shop import Shop

THRESHOLDS = Thresholds()

_ORDER: tuple[FinishingState, ...] = (
    "in hand",
    "window lost",
    "closing",
    "ready",
    "wait",
    "to weigh",
    "curing",
    "drying",
    "set aside",
)


def finishing_queue(
    shop: Shop, floor: Floor, now: dt.datetime, thresholds: Thresholds = THRESHOLDS
) -> FinishingQueue:
    """Return the queue at a moment."""
    coating = coating_line(floor.conditions, floor.conditions_at, now)
    waiting = [(casting, next_wait(casting)) for casting in castings_after_mold(floor)]
    steps = [(casting, wait) for casting, wait in waiting if wait is not None]
    lines = [_line(shop, casting, wait, coating, now, thresholds) for casting, wait in steps]
    lines.sort(key=lambda line: (_ORDER.index(line.state), _urgency(line), line.casting))
    return FinishingQueue(
        as_of=now,
        coating=coating,
        castings=tuple(lines),
        sessions=sessions(floor, lines),
        racks=_racks(shop, steps, now),
    )


def _urgency(line: FinishingLine) -> float:
    return (line.closes_at or line.opens_at).timestamp()


def _line(
    shop: Shop,
    casting: Casting,
    wait: Wait,
    coating: CoatingLine,
    now: dt.datetime,
    thresholds: Thresholds,
) -> FinishingLine:
    step = casting.build.piece.route[wait.index]
    drying = _drying(shop, casting, wait)
    state, sentence = _state(casting, wait, step, drying, coating, now, thresholds)
    known = shop.pieces.get(casting.piece_id)
    return FinishingLine(
        casting=casting.serial,
        piece=casting.piece_id,
        name=known.name if known is not None else casting.build.piece.name,
        order=casting.order,
        state=state,
        step=wait.index,
        kind=step.kind,
        step_name=step.name or step.kind,
        since=wait.since,
        opens_at=wait.opens_at,
        closes_at=wait.closes_at,
        station=step.station,
        drying=drying,
        sentence=sentence,
    )


def _passive_before(casting: Casting, index: int) -> list[Step]:
    """Return the passive steps just before a step."""
    route = casting.build.piece.route
    start = index
    while start > 0 and route[start - 1].passive:
        start -= 1
    return list(route[start:index])


def _drying(shop: Shop, casting: Casting, wait: Wait) -> DryLine | None:
    if not any(step.to_constant_weight for step in _passive_before(casting, wait.index)):
        return None
    return dry_line(casting.weighings, wait.since, shop.shop)


def _state(
    casting: Casting,
    wait: Wait,
    step: Step,
    drying: DryLine | None,
    coating: CoatingLine,
    now: dt.datetime,
    thresholds: Thresholds,
) -> tuple[FinishingState, str]:
    """Return the state and a sentence on it."""
    to_close = (wait.closes_at - now).total_seconds() if wait.closes_at is not None else None
    if wait.begun_at is not None:
        return "in hand", ""
    if to_close is not None and to_close < 0:
        return "window lost", "The time within which this step was to begin is over."
    if casting.set_aside:
        return "set aside", ""
    if wait.opens_at > now:
        return ("drying" if wait.behind == "drying" else "curing"), _said(drying)
    if drying is not None and not drying.dry:
        return "to weigh", _said(drying)
    if step.coating and coating.wait:
        return "wait", coating.sentence
    if to_close is not None and to_close <= thresholds.closing_seconds:
        return "closing", _said(drying)
    if step.coating and coating.wait is None:
        return "ready", coating.sentence
    return "ready", _said(drying)


def _said(drying: DryLine | None) -> str:
    return drying.sentence if drying is not None else ""


def sessions(floor: Floor, lines: Sequence[FinishingLine]) -> tuple[SessionLine, ...]:
    """Return the sessions that castings ready for the same step can share, the largest first.

    Castings share a session when the step is the same in all that is defined of it and stands at
    the same place of their routes; a session takes as many as the step says.
    """
    groups: dict[tuple[int, str], list[FinishingLine]] = {}
    steps: dict[tuple[int, str], Step] = {}
    for line in lines:
        if line.state not in {"ready", "closing"}:
            continue
        step = floor.castings[line.casting].build.piece.route[line.step]
        key = (line.step, step.model_dump_json())
        groups.setdefault(key, []).append(line)
        steps[key] = step
    found = []
    for key, members in groups.items():
        step = steps[key]
        for start in range(0, len(members), step.together):
            some = members[start : start + step.together]
            if len(some) > 1:
                found.append(_session(step, key[0], some))
    return tuple(sorted(found, key=lambda line: (-len(line.castings), line.step, line.castings)))


def _session(step: Step, index: int, members: Sequence[FinishingLine]) -> SessionLine:
    seconds = float(step.takes) + (len(members) - 1) * float(step.each_more)
    return SessionLine(
        step=index,
        kind=step.kind,
        step_name=step.name or step.kind,
        castings=tuple(line.casting for line in members),
        minutes=seconds / 60,
        station=step.station,
        cautions=step.cautions,
    )


def _racks(
    shop: Shop, steps: Sequence[tuple[Casting, Wait]], now: dt.datetime
) -> tuple[RackLine, ...]:
    """Return the stations that passive steps hold places of."""
    held: dict[str, int] = {}
    for casting, wait in steps:
        if wait.begun_at is not None:
            continue
        # A casting stays in its place until its next step is taken up.
        passive = [step for step in _passive_before(casting, wait.index) if step.station]
        if passive:
            station = passive[_reached(passive, wait, now)].station or ""
            held[station] = held.get(station, 0) + 1
    rack_stations = {
        step.station for piece in shop.pieces.values() for step in piece.route if step.passive
    }
    return tuple(
        RackLine(station=key, name=station.name, places=station.places, held=held.get(key, 0))
        for key, station in shop.stations.items()
        if key in rack_stations or key in held
    )


def _reached(passive: Sequence[Step], wait: Wait, now: dt.datetime) -> int:
    """Return which of several passive steps in a row a casting is in."""
    elapsed = (now - wait.since).total_seconds()
    for place, step in enumerate(passive):
        elapsed -= float(step.takes)
        if elapsed < 0:
            return place
    return len(passive) - 1
