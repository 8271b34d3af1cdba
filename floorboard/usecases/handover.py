"""The handover note: what is in which mold, what must be done first and by when, what ran short."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pydantic import AwareDatetime, BaseModel, ConfigDict

from floorboard.floor import events as e
from floorboard.floor.standing import castings_after_mold, standings
from floorboard.floor.waits import next_wait
from floorboard.records.tally_stages import stage_of_wait
from floorboard.usecases.press_words import step_name

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterable, Sequence

    from floorboard.floor.casting import Casting
    from floorboard.floor.floor import Floor
    from floorboard.floor.waits import Wait
    from floorboard.mixing.stock_outlook import StockLine
    from floorboard.planning.plan import Plan, PlannedTask
    from floorboard.records.tally_model import Counts, Tally
    from floorboard.shop.shop import Shop

# What is to be done first is told for so many castings; the plan has the rest.
MOST_FIRST = 14


class NotePart(BaseModel):
    """A frozen part of the note."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class MoldNote(NotePart):
    """A mold: what it holds and where that stands; no casting where it is empty."""

    mold: str
    number: int
    piece: str
    casting: str | None
    state: str
    stage: str
    opens_at: AwareDatetime | None
    closes_at: AwareDatetime | None


class FirstTask(NotePart):
    """Something to do: from when on, by when at the latest, and who is planned to do it when."""

    casting: str
    piece: str
    where: str
    what: str
    opens_at: AwareDatetime
    by: AwareDatetime | None
    planned_at: AwareDatetime | None
    person: str | None


class Handover(NotePart):
    """The note of a shift. `first` is in the order of its deadlines, then of its openings."""

    shop: str
    zone: str
    shift: str
    as_of: AwareDatetime
    begun: int
    demolded: int
    good: int
    scrapped: int
    reconciled: bool
    molds: tuple[MoldNote, ...]
    first: tuple[FirstTask, ...]
    finishing: tuple[tuple[str, int], ...]
    lost: tuple[str, ...]
    short: tuple[str, ...]
    orders: tuple[str, ...]
    away: tuple[str, ...]
    notes: tuple[str, ...]


def handover_note(
    shop: Shop,
    floor: Floor,
    plan: Plan,
    tally: Tally,
    stock: Iterable[StockLine],
    entries: Iterable[e.Entry],
    now: dt.datetime,
) -> Handover:
    """Return the note.

    Parameters
    ----------
    plan
        From now on.
    tally
        Of the shift.
    entries
        Those of the shift: what people wrote down, and the batches they lost.
    """
    counts: Counts = tally.counts
    seen = [entry for entry in entries if entry.struck_by is None]
    return Handover(
        shop=shop.shop.name,
        zone=shop.shop.zone,
        shift=tally.title,
        as_of=now,
        begun=counts.begun,
        demolded=counts.demolded,
        good=counts.good,
        scrapped=counts.scrapped,
        reconciled=tally.reconciled,
        molds=_molds(shop, floor, now),
        first=_first(shop, floor, plan, now),
        finishing=_finishing(floor, now),
        lost=tuple(_lost(shop, plan, seen)),
        short=tuple(remark for line in stock for remark in line.remarks),
        orders=tuple(_orders(shop, plan, tally)),
        away=tuple(_name(shop, person) for person in floor.away),
        notes=tuple(_notes(shop, seen)),
    )


def _molds(shop: Shop, floor: Floor, now: dt.datetime) -> tuple[MoldNote, ...]:
    lines = []
    for row in standings(shop, floor, now):
        mold = shop.molds[row.mold]
        lines.append(
            MoldNote(
                mold=row.mold,
                number=mold.number,
                piece=_piece(shop, row.casting, mold.piece),
                casting=row.casting.serial if row.casting is not None else None,
                state=row.state,
                stage=(
                    stage_of_wait(row.casting, row.wait, now)[1] if row.casting is not None else ""
                ),
                opens_at=row.wait.opens_at if row.wait is not None else None,
                closes_at=row.wait.closes_at if row.wait is not None else None,
            )
        )
    return tuple(sorted(lines, key=lambda line: line.number))


def _piece(shop: Shop, casting: Casting | None, piece: str) -> str:
    key = casting.piece_id if casting is not None else piece
    known = shop.pieces.get(key)
    if known is not None:
        return known.name
    return casting.build.piece.name if casting is not None else key


def _first(shop: Shop, floor: Floor, plan: Plan, now: dt.datetime) -> tuple[FirstTask, ...]:
    waits = [(casting, next_wait(casting)) for casting in floor.open_castings()]
    open_ = [(casting, wait) for casting, wait in waits if wait is not None]
    lost = {(one.casting, one.layer) for one in plan.lost}
    urgent = [
        (casting, wait)
        for casting, wait in open_
        if wait.kind != "layer" or (casting.serial, wait.index) not in lost
    ]
    urgent.sort(key=lambda pair: _urgency(pair[1], now))
    planned = {
        (casting, task.kind, task.index): task for task in plan.tasks for casting in task.castings
    }
    return tuple(
        _task(shop, casting, wait, planned.get((casting.serial, *wait.key)))
        for casting, wait in urgent[:MOST_FIRST]
    )


def _urgency(wait: Wait, now: dt.datetime) -> tuple[bool, float]:
    """Deadlines still to be kept come first, by when they are; then what opens first."""
    kept = wait.closes_at is not None and wait.closes_at >= now
    if kept and wait.closes_at is not None:
        return False, wait.closes_at.timestamp()
    return True, wait.opens_at.timestamp()


def _task(shop: Shop, casting: Casting, wait: Wait, planned: PlannedTask | None) -> FirstTask:
    mold = shop.molds.get(casting.mold)
    number = mold.number if mold is not None else casting.mold
    return FirstTask(
        casting=casting.serial,
        piece=_piece(shop, casting, casting.piece_id),
        where=f"mold {number}" if casting.in_mold else "",
        what=_words(casting, wait),
        opens_at=wait.opens_at,
        by=wait.closes_at,
        planned_at=planned.start if planned is not None else None,
        person=_name(shop, planned.person) if planned is not None else None,
    )


def _words(casting: Casting, wait: Wait) -> str:
    piece = casting.build.piece
    match wait.kind:
        case "ready":
            return "ready the mold"
        case "layer":
            return f"layer {wait.index + 1} of {len(piece.layers)}"
        case "demold":
            return "demold"
        case _:
            return step_name(piece.route[wait.index])


def _finishing(floor: Floor, now: dt.datetime) -> tuple[tuple[str, int], ...]:
    counts: dict[str, tuple[int, int]] = {}
    for casting in castings_after_mold(floor):
        place, stage = stage_of_wait(casting, next_wait(casting), now)
        first, count = counts.get(stage, (place, 0))
        counts[stage] = min(first, place), count + 1
    ordered = sorted(counts, key=lambda stage: (counts[stage][0], stage))
    return tuple((stage, counts[stage][1]) for stage in ordered)


def _lost(shop: Shop, plan: Plan, entries: Sequence[e.Entry]) -> Iterable[str]:
    for entry in entries:
        if isinstance(entry.event, e.BatchLost):
            yield f"Batch {entry.event.batch} was lost. {entry.event.reason}".rstrip()
    for one in plan.lost:
        casting = next((c for c in plan.castings if c.id == one.casting), None)
        mold = shop.molds.get(casting.mold) if casting is not None else None
        where = f", mold {mold.number}" if mold is not None else ""
        yield f"{one.casting}{where}: the window of layer {one.layer + 1} is lost. {one.reason}"


def _orders(shop: Shop, plan: Plan, tally: Tally) -> Iterable[str]:
    for line in tally.orders:
        if line.state == "overdue":
            yield f"{line.name} is overdue: {line.good} of {line.quantity} good."
    for outlook in plan.orders:
        order = shop.orders.get(outlook.order)
        if outlook.late_seconds > 0 and order is not None and outlook.due > plan.made_at:
            hours = outlook.late_seconds / 3600
            yield f"{order.name or outlook.order} will be late by about {hours:.0f} h as planned."


def _notes(shop: Shop, entries: Sequence[e.Entry]) -> Iterable[str]:
    for entry in entries:
        if isinstance(entry.event, e.Noted):
            who = f"{_name(shop, entry.person)}: " if entry.person else ""
            mold = shop.molds.get(entry.event.mold or "")
            about = f"mold {mold.number}, " if mold is not None else ""
            about += f"{entry.event.casting}, " if entry.event.casting else ""
            yield f"{who}{about}{entry.event.note}"


def _name(shop: Shop, person: str) -> str:
    known = shop.people.get(person)
    return known.name if known is not None else person
