"""Weights and walls of a piece's castings, as logged, on control charts.

The first castings of a build set the limits; the weights after them are judged.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from floorboard.mixing.amounts import layer_grams
from floorboard.mixing.refusal import MixingError
from floorboard.records.chart_baseline import SETTLED_COUNT, baseline_limits
from floorboard.records.control_charts import factors_for
from floorboard.records.quality_model import WallLine, WeightChart, WeightPoint
from floorboard.records.quantiles import quantile
from floorboard.records.weight_drift import read_weights

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Mapping, Sequence

    from floorboard.floor import history_rows as h
    from floorboard.records.weight_drift import WeightDrift
    from floorboard.shop.build import Build

# Fewer weights than this are not charted; the shop's own rule, no source.
LEAST_WEIGHTS = 5
# A weight this many times over or under the middle one is of something else, or mistyped.
MOST_TIMES = 2.0
MM2_PER_CM2 = 100.0


@dataclass(frozen=True, slots=True)
class Weighed:
    """A casting's weight at demold, and how its layers were made."""

    made: h.MadeRow
    at: dt.datetime
    grams: float


def weights_at_demold(
    made: Sequence[h.MadeRow], readings: Sequence[h.ReadingRow]
) -> tuple[list[Weighed], int]:
    """Return the first weight of each casting that can be, in the order demolded.

    Also how many weights were left out because they cannot be: nothing, or far from the middle.
    """
    first: dict[str, list[h.ReadingRow]] = {}
    for row in readings:
        if row.kind == "weight":
            first.setdefault(row.casting, []).append(row)
    demolded = [row for row in made if row.casting.demolded_at is not None]
    positive = [row.value for rows in first.values() for row in rows[:1] if row.value > 0]
    if not positive:
        return [], sum(len(rows) for rows in first.values())
    middle = quantile(positive, 0.5)
    found, left_out = [], 0
    for one in sorted(demolded, key=lambda row: (row.casting.demolded_at, row.casting.serial)):
        for row in first.get(one.casting.serial, []):
            if middle / MOST_TIMES <= row.value <= middle * MOST_TIMES:
                found.append(Weighed(one, row.at, row.value))
                break
            left_out += 1
    return found, left_out


def nominal_grams(build: Build) -> tuple[float, ...]:
    """Return what each layer of a build is to weigh; empty where it cannot be told."""
    try:
        return tuple(
            layer_grams(layer, build.mix_of_layer(place))
            for place, layer in enumerate(build.piece.layers)
        )
    except MixingError:
        return ()


def wall_mm_per_gram(build: Build) -> float | None:
    """Return the wall one gram of casting makes, in mm.

    By area and set density where a layer gives its area: 10 / (d A) with A in cm2; else by the
    wall wanted over what the layers are to weigh. None where neither is known.
    """
    grams = nominal_grams(build)
    whole = sum(grams)
    if whole <= 0:
        return None
    areas = [layer.area for layer in build.piece.layers if layer.area is not None]
    densities = [build.mix_of_layer(place).set_density for place in range(len(grams))]
    if areas and all(density for density in densities):
        # Each layer adds its own thickness over the same area.
        millilitres = sum(g / float(d) for g, d in zip(grams, densities, strict=True) if d)
        return 1000.0 * millilitres / float(max(areas)) / whole
    if build.piece.wall is not None:
        return float(build.piece.wall) / whole
    return None


def weight_chart(
    name: str, weighed: Sequence[Weighed], left_out: int, build: Build, baseline: int
) -> WeightChart | None:
    """Return the charts of a piece's weights, all of one build's amounts.

    Parameters
    ----------
    baseline
        How many of the first weights make the limits, if there are so many.
    """
    if len(weighed) < LEAST_WEIGHTS:
        return None
    grams = [one.grams for one in weighed]
    base = baseline_limits(grams[:baseline], least_settled=min(SETTLED_COUNT, baseline))
    per_gram = wall_mm_per_gram(build)
    drift = read_weights(
        name,
        grams,
        base.limits,
        wall_mm_per_gram=per_gram,
        layer_shifts_grams=_layer_shifts(weighed, build),
    )
    return WeightChart(
        center=base.limits.center,
        sigma=base.limits.sigma,
        lower=base.limits.lower,
        upper=base.limits.upper,
        range_upper=factors_for(2).D4 * factors_for(2).d2 * base.limits.sigma,
        baseline=len(base.kept) + len(base.set_aside),
        settled=base.settled,
        left_out=left_out,
        points=_points(weighed, drift, per_gram),
        direction=drift.direction,
        shift_grams=drift.shift_grams,
        shift_mm=drift.wall_mm,
        likely_layer=drift.layer,
        sentence=drift.sentence,
        baseline_sentence=base.sentence,
    )


def _points(
    weighed: Sequence[Weighed], drift: WeightDrift, per_gram: float | None
) -> tuple[WeightPoint, ...]:
    fired: dict[int, list[str]] = {}
    for signal in drift.signals:
        fired.setdefault(signal.index, []).append(signal.rule)
    for index in drift.ewma.signals:
        fired.setdefault(index, []).append("EWMA")
    return tuple(
        WeightPoint(
            casting=one.made.casting.serial,
            mold=one.made.casting.mold,
            at=one.at,
            grams=one.grams,
            wall_mm=None if per_gram is None else one.grams * per_gram,
            moving_range=None if place == 0 else abs(one.grams - weighed[place - 1].grams),
            ewma=drift.ewma.averages[place],
            ewma_lower=drift.ewma.lower[place],
            ewma_upper=drift.ewma.upper[place],
            signals=tuple(fired.get(place, ())),
        )
        for place, one in enumerate(weighed)
    )


def _layer_shifts(weighed: Sequence[Weighed], build: Build) -> Mapping[str, Sequence[float]]:
    """Return amount applied less planned for each layer; none where no amounts were logged."""
    nominal = nominal_grams(build)
    shifts: dict[str, list[float]] = {}
    for place, grams in enumerate(nominal):
        amounts = [
            one.made.coats[place].grams if place < len(one.made.coats) else None for one in weighed
        ]
        found = [0.0 if amount is None else amount - grams for amount in amounts]
        if any(abs(shift) > 1e-9 for shift in found):
            shifts[f"layer {place + 1}"] = found
    return shifts


def wall_lines(
    readings: Sequence[h.ReadingRow], least_wall_mm: float | None
) -> tuple[WallLine, ...]:
    """Return caliper readings by point; readings of nothing are left out."""
    by_point: dict[str, list[h.ReadingRow]] = {}
    for row in readings:
        if row.kind == "wall" and row.value > 0:
            by_point.setdefault(row.point, []).append(row)
    lines = []
    for point, rows in sorted(by_point.items()):
        thin = [r.casting for r in rows if least_wall_mm is not None and r.value < least_wall_mm]
        lines.append(
            WallLine(
                point=point,
                readings=len(rows),
                mean_mm=sum(row.value for row in rows) / len(rows),
                least_mm=min(row.value for row in rows),
                thin=tuple(dict.fromkeys(thin)),
            )
        )
    return tuple(lines)
