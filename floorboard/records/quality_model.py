"""Quality as one value: weights and walls of each piece, defects, yields.

Weights in grams, walls in mm, shares from 0 to 1, moments in UTC. Layers count from 1 here, as
people say them.
"""

from __future__ import annotations

import datetime as dt
from typing import Literal

from pydantic import AwareDatetime, BaseModel, ConfigDict


class QualityPart(BaseModel):
    """A frozen part of the report."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class WeightPoint(QualityPart):
    """One casting's weight at demold, in the order demolded, with the charts' values for it.

    `moving_range` is the distance from the weight before; `signals` names the rules that fired.
    """

    casting: str
    mold: str
    at: AwareDatetime
    grams: float
    wall_mm: float | None
    moving_range: float | None
    ewma: float
    ewma_lower: float
    ewma_upper: float
    signals: tuple[str, ...]


class WeightChart(QualityPart):
    """Individuals, moving range and EWMA of one piece's weights.

    Limits come from the first `baseline` weights; `settled` when those are enough. `left_out`
    counts weights that cannot be.
    """

    center: float
    sigma: float
    lower: float
    upper: float
    range_upper: float
    baseline: int
    settled: bool
    left_out: int
    points: tuple[WeightPoint, ...]
    direction: Literal["steady", "light", "heavy"]
    shift_grams: float
    shift_mm: float | None
    likely_layer: str | None
    sentence: str
    baseline_sentence: str


class WallLine(QualityPart):
    """Caliper readings at one point of a piece."""

    point: str
    readings: int
    mean_mm: float
    least_mm: float
    thin: tuple[str, ...]


class PieceQuality(QualityPart):
    """One piece: its weights, where there are enough, and its walls."""

    piece: str
    name: str
    wall_mm: float | None
    least_wall_mm: float | None
    chart: WeightChart | None
    walls: tuple[WallLine, ...]
    sentences: tuple[str, ...]


class DefectLine(QualityPart):
    """A defect seen or a reason given, the layer it came from, and in how many castings."""

    reason: str
    name: str
    layer: int | None
    castings: int
    rejected: int


class GroupYield(QualityPart):
    """Yield of one group: good without rework, of the castings that came to a verdict."""

    group: str
    name: str
    good: int
    first_time: int
    total: int
    share: float | None
    low: float | None
    high: float | None


class YieldGroups(QualityPart):
    """Yields by one thing (piece, mold, person, lot, temperature), and what may be said of them."""

    by: str
    groups: tuple[GroupYield, ...]
    sentence: str


class StageYield(QualityPart):
    """Castings that passed a stage the first time, of those that came to it."""

    stage: str
    passed: int
    total: int
    share: float | None
    low: float | None
    high: float | None


class QualityReport(QualityPart):
    """Quality of what was demolded, finished or scrapped in local days `first_day` to `last_day`."""

    first_day: dt.date
    last_day: dt.date
    castings: int
    stages: tuple[StageYield, ...]
    rolled_share: float | None
    rolled_low: float | None
    rolled_high: float | None
    yields: tuple[YieldGroups, ...]
    defects: tuple[DefectLine, ...]
    pieces: tuple[PieceQuality, ...]
    sentences: tuple[str, ...]
