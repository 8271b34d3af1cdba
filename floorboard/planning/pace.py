"""How long work takes against its planned time: the ratio and its spread, stated or logged."""

from __future__ import annotations

import math
import statistics
from typing import TYPE_CHECKING, Annotated

from pydantic import Field

from floorboard.planning.plan import PlanValue, TaskKind

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

# With fewer logged times than this the stated pace stands.
FEWEST = 8

# Ratios beyond this either way are keys pressed late or twice, not work.
FARTHEST = 5.0


class Pace(PlanValue):
    """Actual against planned time of one kind of work."""

    ratio: Annotated[float, Field(gt=0, le=10)] = Field(
        default=1.0, description="mean, 1: as planned"
    )
    spread: Annotated[float, Field(ge=0, le=5)] = Field(
        default=0.15, description="standard deviation of the ratio"
    )


STATED = Pace()


def paces_of(
    logged: Iterable[tuple[TaskKind, float, float]], stated: Mapping[TaskKind, Pace] | None = None
) -> dict[TaskKind, Pace]:
    """Return the pace of each kind of work, from logged times where there are enough of them.

    Parameters
    ----------
    logged
        `(kind, actual seconds, planned seconds)` of work that was done; what is not above zero or
        off by more than a factor of five counts for nothing.
    stated
        The pace of kinds with too few logged times; a spread of 15 % where none is stated.
    """
    ratios: dict[TaskKind, list[float]] = {}
    for kind, actual, planned in logged:
        if actual > 0 and planned > 0 and 1 / FARTHEST <= actual / planned <= FARTHEST:
            ratios.setdefault(kind, []).append(actual / planned)
    found = dict(stated or {})
    for kind, values in ratios.items():
        if len(values) >= FEWEST:
            found[kind] = Pace(ratio=statistics.fmean(values), spread=statistics.stdev(values))
    return found


def log_normal(pace: Pace) -> tuple[float, float]:
    """Return mean and standard deviation of the logarithm of a log-normal ratio of this pace."""
    variance = math.log(1 + (pace.spread / pace.ratio) ** 2)
    return math.log(pace.ratio) - variance / 2, math.sqrt(variance)
