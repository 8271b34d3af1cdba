"""The tally: a day's, a shift's, a week's or an order's counts, from the rows of the past.

Pure: what is read, and the moment it is looked at, are passed in.
"""

from __future__ import annotations

import zoneinfo
from typing import TYPE_CHECKING

from floorboard.records.kpis import Quantities, UnitTimes, first_pass_ratio, throughput_rate
from floorboard.records.tally_counts import (
    checks,
    count_castings,
    day_lines,
    reason_counts,
    reject_lines,
    reworks_of,
    yield_lines,
)
from floorboard.records.tally_hands import hands_of, person_lines, silent_days
from floorboard.records.tally_materials import batch_lines, cost_line, material_lines
from floorboard.records.tally_model import KeyFigures, PieceLine, ReasonLine, Tally
from floorboard.records.tally_molds import mold_lines, open_hours
from floorboard.records.tally_orders import order_lines, wanted_by_piece
from floorboard.records.tally_stages import carried_lines, stage_lines

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Sequence

    from floorboard.records.tally_counts import Counted
    from floorboard.records.tally_hands import Hands
    from floorboard.records.tally_model import MoldLine, OrderLine, PersonLine, RejectLine
    from floorboard.records.tally_past import Past, Stretch

# Days without any work that are named; the others are counted.
MOST_DAYS = 5


def tally_of(past: Past, stretch: Stretch, title: str) -> Tally:
    """Return the tally of a stretch of time.

    Parameters
    ----------
    past
        As read for this stretch.
    title
        What the stretch is called, such as "Thursday 12 March 2026".
    """
    counted = count_castings(past, stretch)
    rejects = reject_lines(past, stretch)
    hands = hands_of(past, stretch)
    people = person_lines(past, hands, stretch)
    molds = mold_lines(past, stretch) if past.order is None else ()
    orders = order_lines(past, stretch)
    names = _piece_names(past)
    standing = [
        past.at_end[serial]
        for serial, stand in counted.after.items()
        if stand == "in progress" and serial in past.at_end
    ]
    whole = past.order is None
    materials = material_lines(past) if whole else ()
    due = [line for line in orders if stretch.start < line.due <= stretch.until]
    return Tally(
        title=title,
        shop=past.shop.shop.name,
        zone=past.shop.shop.zone,
        currency=past.shop.shop.currency,
        start=stretch.start,
        end=stretch.end,
        as_of=stretch.now,
        first_day=_local_day(stretch.start, past),
        last_day=_local_day(stretch.end, past, just_before=True),
        order=past.order,
        counts=counted.all(),
        pieces=_piece_lines(past, counted, names, stretch),
        days=day_lines(past, counted, stretch),
        people=people,
        reasons=_reason_lines(past, rejects),
        rejects=rejects,
        stages=stage_lines(standing, stretch.until),
        carried_over=carried_lines(standing, past.shop, names, stretch.until),
        molds=molds,
        batches=batch_lines(past) if whole else (),
        materials=materials,
        orders=orders,
        orders_due=len(due),
        orders_on_time=sum(line.state == "on time" for line in due),
        yields=yield_lines(past, counted, stretch),
        key_figures=_key_figures(past, counted, people, molds, stretch),
        cost=cost_line(past, materials, people, counted.all().good) if whole else None,
        checks=checks(past, counted),
        notes=(*_silence(past, hands, stretch), *_notes(past, hands, orders)),
    )


def _local_day(moment: dt.datetime, past: Past, *, just_before: bool = False) -> dt.date:
    zone = zoneinfo.ZoneInfo(past.shop.shop.zone)
    local = moment.astimezone(zone)
    if just_before and (local.hour, local.minute, local.second) == (0, 0, 0):
        # A range of days ends at the midnight after its last day.
        return type(local.date()).fromordinal(local.date().toordinal() - 1)
    return local.date()


def _piece_names(past: Past) -> dict[str, str]:
    """Names by piece: as the shop has them now, else as the castings were begun with."""
    names = {row.piece: past.builds[row.build].piece.name for row in past.castings}
    return names | {key: piece.name for key, piece in past.shop.pieces.items()}


def _piece_lines(
    past: Past, counted: Counted, names: dict[str, str], stretch: Stretch
) -> tuple[PieceLine, ...]:
    wanted = wanted_by_piece(past, stretch)
    order = {key: place for place, key in enumerate(past.shop.pieces)}
    pieces = sorted(
        counted.by_piece.keys() | wanted.keys(), key=lambda key: (order.get(key, 10**9), key)
    )
    return tuple(
        PieceLine(
            piece=piece,
            name=names.get(piece, piece),
            wanted=wanted.get(piece, 0),
            counts=counted.of_piece(piece),
        )
        for piece in pieces
    )


def _reason_lines(past: Past, rejects: Sequence[RejectLine]) -> tuple[ReasonLine, ...]:
    known = past.shop.reasons
    return tuple(
        ReasonLine(
            reason=reason,
            name=known[reason].name if reason in known else reason,
            rejected=rejected,
            sent_back=back,
        )
        for reason, (rejected, back) in reason_counts(past, rejects).items()
    )


def _key_figures(
    past: Past,
    counted: Counted,
    people: Sequence[PersonLine],
    molds: Sequence[MoldLine],
    stretch: Stretch,
) -> KeyFigures:
    """ISO 22400-2 figures of the stretch; see `floorboard.records.kpis` for the formulas."""
    counts = counted.all()
    sent_back = {row.casting for row in past.reworks}
    again = sum(counted.after.get(serial) == "in progress" for serial in sent_back)
    good, scrapped = counts.good, counts.scrapped
    quantities = Quantities(good + scrapped + again, good, scrapped, again)
    first = sum(
        reworks_of(row, past) == 0
        and counted.after[row.serial] == "good" != counted.before[row.serial]
        for row in past.castings
    )
    used = sum(line.used_minutes for line in people)
    there = sum(line.there_minutes for line in people)
    in_use = UnitTimes(
        open_hours(past, stretch).total / 60 * len(molds),
        sum(line.held_minutes for line in molds),
        sum(line.held_minutes * (line.utilization_efficiency or 0.0) for line in molds),
    )
    hours = open_hours(past, stretch).total / 3600
    return KeyFigures(
        produced=quantities.produced,
        good=good,
        scrapped=scrapped,
        reworked=again,
        quality_ratio=quantities.quality_ratio,
        scrap_ratio=quantities.scrap_ratio,
        rework_ratio=quantities.rework_ratio,
        first_pass_yield=first_pass_ratio(first, quantities.produced),
        worker_efficiency=used / there if there else None,
        allocation_efficiency=in_use.allocation_efficiency,
        utilization_efficiency=in_use.utilization_efficiency,
        availability=in_use.availability,
        throughput_per_hour=throughput_rate(quantities.produced, hours),
    )


def _silence(past: Past, hands: dict[str, Hands], stretch: Stretch) -> tuple[str, ...]:
    """Say which days have no data: their hands count as there, though nobody may have been."""
    days = silent_days(past, hands, stretch)
    if not days:
        return ()
    named = ", ".join(f"{day}" for day in days[:MOST_DAYS])
    more = f" and {len(days) - MOST_DAYS} more" if len(days) > MOST_DAYS else ""
    return (
        f"No work was logged on {named}{more}; hands there count as the shifts have it. "
        "Log who is away, or mend the shifts.",
    )


def _notes(past: Past, hands: dict[str, Hands], orders: Sequence[OrderLine]) -> tuple[str, ...]:
    notes = []
    bare = sum(theirs.without_beginning for theirs in hands.values())
    if bare:
        notes.append(f"{_tasks(bare)} logged without a beginning; their time is not counted.")
    forgotten = sum(theirs.forgotten for theirs in hands.values())
    if forgotten:
        notes.append(
            f"{_tasks(forgotten)} lasted over four hours, a press forgotten by the look of it; "
            "only what lies in the shift is counted."
        )
    unweighed = sum(row.unweighed for row in past.batches)
    if unweighed:
        was = "1 batch was" if unweighed == 1 else f"{unweighed} batches were"
        notes.append(f"{was} not logged as weighed; counted as on the ticket.")
    late = [line.name for line in orders if line.state == "overdue"]
    if late:
        notes.append(f"Overdue: {', '.join(late)}.")
    notes += [f"Entry {row.seq}: {row.message}" for row in past.flags]
    if past.flag_count > len(past.flags):
        notes.append(f"And {past.flag_count - len(past.flags)} more entries that were odd.")
    outside = {row.person for row in past.presences} - past.shop.people.keys()
    if outside:
        notes.append(f"Not of the shop now, yet in the log: {', '.join(sorted(outside))}.")
    return tuple(notes)


def _tasks(count: int) -> str:
    return "1 task was" if count == 1 else f"{count} tasks were"
