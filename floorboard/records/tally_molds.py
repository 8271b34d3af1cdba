"""How much of the shop's open hours each mold was used."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from floorboard.records.kpis import UnitTimes
from floorboard.records.spans import Measure, merged, span_of
from floorboard.records.tally_model import MoldLine
from floorboard.shop.calendar import stretches

if TYPE_CHECKING:
    from floorboard.floor import history_rows as h
    from floorboard.records.tally_past import Past, Stretch
    from floorboard.shop.build import Build


def open_hours(past: Past, stretch: Stretch) -> Measure:
    """Return when the shop is open, breaks and all: someone's shift is on, as far as now."""
    if stretch.until <= stretch.start:
        return Measure([])
    spans = [
        span_of(*one)
        for person in past.shop.people.values()
        for one in stretches(
            person.model_copy(update={"breaks": ()}),
            past.shop.shop.zone,
            stretch.start,
            stretch.until,
        )
    ]
    return Measure(merged(spans))


def least_seconds(build: Build) -> float:
    """Return the least time a casting holds its mold: readying, layers, cures and demold."""
    piece = build.piece
    layers = sum(float(layer.apply) for layer in piece.layers)
    cures = sum(float(layer.partial_cure) for layer in piece.layers[:-1])
    return float(piece.ready) + layers + cures + float(piece.full_cure) + float(piece.demold)


def mold_times(past: Past, stretch: Stretch) -> dict[str, tuple[float, float]]:
    """Return minutes each mold held a casting in open hours, and of those what was needed.

    Needed is the build's least time, spread evenly over the time the casting held the mold. A
    casting that made nothing, rejected in the mold, needed none.
    """
    hours, until = open_hours(past, stretch), stretch.until.timestamp()
    least = {}
    held: dict[str, float] = {}
    needed: dict[str, float] = {}
    for row in past.castings:
        start, end = _holds(row, until)
        inside = hours.between(start, end)
        if inside <= 0:
            continue
        if row.build not in least:
            least[row.build] = least_seconds(past.builds[row.build])
        held[row.mold] = held.get(row.mold, 0.0) + inside
        if row.demolded_at is not None or row.rejected_at is None:
            share = min(1.0, least[row.build] / (end - start))
            needed[row.mold] = needed.get(row.mold, 0.0) + inside * share
    return {mold: (held[mold] / 60, needed.get(mold, 0.0) / 60) for mold in held}


def _holds(row: h.CastingRow, until: float) -> tuple[float, float]:
    ends = [m.timestamp() for m in (row.demolded_at, row.rejected_at) if m is not None]
    start = row.begun_at.timestamp()
    return start, max(start, min([*ends, until]))


def mold_lines(past: Past, stretch: Stretch) -> tuple[MoldLine, ...]:
    """Return every mold in service or used, by its number."""
    times, open_minutes = mold_times(past, stretch), open_hours(past, stretch).total / 60
    begun: Counter[str] = Counter()
    demolded: Counter[str] = Counter()
    pieces: dict[str, str] = {}
    for row in past.castings:
        begun[row.mold] += stretch.start <= row.begun_at < stretch.end
        at = row.demolded_at
        demolded[row.mold] += at is not None and stretch.start <= at < stretch.end
        pieces[row.mold] = row.piece
    known = past.shop.molds
    names = {key for key, mold in known.items() if mold.in_service} | {m for m in times}
    names |= {mold for mold in begun if begun[mold] or demolded[mold]}
    lines = []
    for mold in names:
        held, needed = times.get(mold, (0.0, 0.0))
        found = UnitTimes(open_minutes, held, min(held, needed))
        lines.append(
            MoldLine(
                mold=mold,
                number=known[mold].number if mold in known else None,
                piece=known[mold].piece if mold in known else pieces[mold],
                begun=begun[mold],
                demolded=demolded[mold],
                held_minutes=held,
                allocation_efficiency=found.allocation_efficiency,
                utilization_efficiency=found.utilization_efficiency,
                availability=found.availability,
            )
        )
    return tuple(sorted(lines, key=lambda line: (line.number or 10**9, line.mold)))
