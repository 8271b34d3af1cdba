"""The quality report: charts of weight, walls, defects and yields, with what they say in words."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from floorboard.records.quality_model import PieceQuality, QualityReport
from floorboard.records.quality_yields import defect_lines, stage_yields, yield_groups
from floorboard.records.weight_charts import (
    nominal_grams,
    wall_lines,
    weight_chart,
    weights_at_demold,
)

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Mapping, Sequence

    from floorboard.floor import history_rows as h
    from floorboard.shop.build import Build
    from floorboard.shop.shop import Shop

# So many of the first weights set a chart's limits; common practice is twenty to thirty.
BASELINE = 25


@dataclass(frozen=True, slots=True)
class Made:
    """What is read for a quality report; `lots` and `air` reach back to when castings were begun."""

    shop: Shop
    builds: Mapping[str, Build]
    made: Sequence[h.MadeRow]
    readings: Sequence[h.ReadingRow] = ()
    inspections: Sequence[h.InspectionRow] = ()
    reworks: Sequence[h.ReworkRow] = ()
    lots: Mapping[str, set[tuple[str, str]]] = field(default_factory=dict)
    air: Sequence[h.AirRow] = ()


def quality_of(
    past: Made,
    start: dt.datetime,
    end: dt.datetime,
    first_day: dt.date,
    last_day: dt.date,
    baseline: int = BASELINE,
) -> QualityReport:
    """Return the report of `[start, end)`, the local days from first to last."""
    verdicts = [one for one in past.made if _came_to_a_verdict(one.casting, start, end)]
    stages, rolled = stage_yields(verdicts)
    pieces = _pieces(past, baseline)
    sentences = [text for piece in pieces for text in piece.sentences]
    return QualityReport(
        first_day=first_day,
        last_day=last_day,
        castings=len(verdicts),
        stages=stages,
        rolled_share=rolled.share,
        rolled_low=rolled.low,
        rolled_high=rolled.high,
        yields=yield_groups(verdicts, past.shop, past.lots, past.air),
        defects=defect_lines(verdicts, past.inspections, past.reworks, past.shop),
        pieces=pieces,
        sentences=tuple(sentences),
    )


def _came_to_a_verdict(row: h.CastingRow, start: dt.datetime, end: dt.datetime) -> bool:
    at = row.rejected_at or row.finished_at
    return at is not None and start <= at < end


def _pieces(past: Made, baseline: int) -> tuple[PieceQuality, ...]:
    made: dict[str, list[h.MadeRow]] = {}
    for one in past.made:
        made.setdefault(one.casting.piece, []).append(one)
    readings: dict[str, list[h.ReadingRow]] = {}
    for row in past.readings:
        readings.setdefault(row.piece, []).append(row)
    order = list(past.shop.pieces)
    order += sorted(piece for piece in made if piece not in past.shop.pieces)
    return tuple(
        _piece(past, piece, made[piece], readings.get(piece, []), baseline)
        for piece in order
        if piece in made
    )


def _piece(
    past: Made,
    piece: str,
    made: Sequence[h.MadeRow],
    readings: Sequence[h.ReadingRow],
    baseline: int,
) -> PieceQuality:
    build = past.builds[made[-1].casting.build]
    # Castings of other amounts weigh otherwise by right; only those like the latest are charted.
    same = [
        one for one in made if nominal_grams(past.builds[one.casting.build]) == nominal_grams(build)
    ]
    known = past.shop.pieces.get(piece, build.piece)
    weighed, left_out = weights_at_demold(same, readings)
    chart = weight_chart(known.name, weighed, left_out, build, baseline)
    least = None if known.least_wall is None else float(known.least_wall)
    walls = wall_lines(readings, least)
    sentences = [] if chart is None or chart.direction == "steady" else [chart.sentence]
    for line in walls:
        if line.thin:
            where = f" at {line.point}" if line.point else ""
            sentences.append(
                f"{len(line.thin)} castings of {known.name} read thinner than {least:g} mm"
                f"{where}, the thinnest {line.least_mm:.1f} mm: {', '.join(line.thin[-5:])}."
            )
    return PieceQuality(
        piece=piece,
        name=known.name,
        wall_mm=None if known.wall is None else float(known.wall),
        least_wall_mm=least,
        chart=chart,
        walls=walls,
        sentences=tuple(sentences),
    )
