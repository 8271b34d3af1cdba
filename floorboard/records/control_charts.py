"""Control charts of a measured value: individuals, moving range, EWMA, mean and range.

Values are in whatever unit the caller measures (grams for casting weights, mm for walls);
limits come back in the same unit. Numbering of points starts at 0, in the order cast.

Sources: Shewhart (1931); NIST/SEMATECH e-Handbook of Statistical Methods 6.3.2; factors from
the shared table ``control_chart_constants.toml``.
"""

import math
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from floorboard.shop.checked_numbers import above, all_finite, finite
from floorboard.shop.locations import shared_file

LIMIT_SIGMAS = 3.0


@dataclass(frozen=True, slots=True)
class ChartFactors:
    """Factors for subgroups of `size` values; names as printed in the tables."""

    size: int
    A2: float
    A3: float
    c4: float
    d2: float
    d3: float
    D3: float
    D4: float
    B3: float
    B4: float


@dataclass(frozen=True, slots=True)
class ChartLimits:
    """Centre line, one sigma, and the lower and upper limit, all in the unit of the values."""

    center: float
    sigma: float
    lower: float
    upper: float

    def scores(self, values: Sequence[float]) -> tuple[float, ...]:
        """Distance of each value from the centre, in sigmas (0 where all values are alike)."""
        numbers = all_finite(values, "Value", least=0)
        if self.sigma == 0:
            return tuple(
                0.0 if v == self.center else math.copysign(math.inf, v - self.center)
                for v in numbers
            )
        return tuple((v - self.center) / self.sigma for v in numbers)

    def outside(self, values: Sequence[float]) -> tuple[int, ...]:
        """Numbers of the points beyond a limit."""
        return tuple(i for i, v in enumerate(values) if not self.lower <= v <= self.upper)


@dataclass(frozen=True, slots=True)
class IndividualsChart:
    """Single values and the ranges between neighbours (one fewer than the values)."""

    values: tuple[float, ...]
    limits: ChartLimits
    moving_ranges: tuple[float, ...]
    range_limits: ChartLimits


@dataclass(frozen=True, slots=True)
class EwmaChart:
    """Exponentially weighted moving average, one point and one pair of limits a value."""

    smoothing: float
    averages: tuple[float, ...]
    center: float
    lower: tuple[float, ...]
    upper: tuple[float, ...]
    signals: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class MeanRangeChart:
    """Means and ranges of subgroups of one size."""

    means: tuple[float, ...]
    mean_limits: ChartLimits
    ranges: tuple[float, ...]
    range_limits: ChartLimits


@lru_cache(maxsize=1)
def chart_factors() -> dict[int, ChartFactors]:
    """The table of factors by subgroup size, 2 to 25."""
    with shared_file("control_chart_constants.toml").open("rb") as file:
        rows = tomllib.load(file)["factors"]
    return {int(key[1:]): ChartFactors(int(key[1:]), **row) for key, row in rows.items()}


def factors_for(size: int) -> ChartFactors:
    """Factors for subgroups of `size` values; ``ValueError`` outside the table."""
    try:
        return chart_factors()[size]
    except KeyError:
        raise ValueError(
            f"No control chart factors for subgroups of {size}; use 2 to 25 values."
        ) from None


def limits_around(center: float, sigma: float, width: float = LIMIT_SIGMAS) -> ChartLimits:
    """Limits `width` sigmas to either side of a known centre and sigma."""
    middle, spread = finite(center, "The centre line"), finite(sigma, "Sigma")
    if spread < 0:
        raise ValueError(f"Sigma is {spread:g}, but cannot be under 0.")
    reach = above(width, 0, "The width of the limits") * spread
    return ChartLimits(middle, spread, middle - reach, middle + reach)


def individuals_chart(values: Sequence[float]) -> IndividualsChart:
    """Individuals and moving range chart of single values, at least two.

    Sigma is the mean moving range over d2 of two (1.128).
    Source: NIST/SEMATECH e-Handbook 6.3.2.2.
    """
    numbers = all_finite(values, "Value", least=2)
    two = factors_for(2)
    ranges = tuple(abs(b - a) for a, b in pairwise(numbers))
    mean_range = math.fsum(ranges) / len(ranges)
    limits = limits_around(math.fsum(numbers) / len(numbers), mean_range / two.d2)
    return IndividualsChart(numbers, limits, ranges, _range_limits(mean_range, two))


def ewma_chart(
    values: Sequence[float],
    center: float,
    sigma: float,
    *,
    smoothing: float = 0.2,
    width: float = LIMIT_SIGMAS,
    settled: bool = True,
) -> EwmaChart:
    """EWMA of the values, started at the centre line.

    Parameters
    ----------
    smoothing : weight of the newest value, over 0 and up to 1 (1: the values themselves).
    width : distance of the limits in sigmas of the average.
    settled : with True the limits are those of a long-running chart; with False they start
        narrow and widen, so that a shift at the very beginning is seen sooner.

    Source: Roberts (1959); NIST/SEMATECH e-Handbook 6.3.2.4.
    """
    numbers = all_finite(values, "Value", least=0)
    weight = smoothing_weight(smoothing)
    band = limits_around(center, sigma, width)
    averages: list[float] = []
    reaches: list[float] = []
    current = band.center
    for count, value in enumerate(numbers, 1):
        current = weight * value + (1 - weight) * current
        averages.append(current)
        share = 1.0 if settled else 1 - (1 - weight) ** (2 * count)
        reaches.append((band.upper - band.center) * math.sqrt(weight / (2 - weight) * share))
    return EwmaChart(
        weight,
        tuple(averages),
        band.center,
        tuple(band.center - r for r in reaches),
        tuple(band.center + r for r in reaches),
        tuple(
            i
            for i, (a, r) in enumerate(zip(averages, reaches, strict=True))
            if abs(a - band.center) > r
        ),
    )


def smoothing_weight(smoothing: float) -> float:
    """The EWMA weight when it lies over 0 and up to 1, else ``ValueError``."""
    weight = finite(smoothing, "The EWMA weight")
    if not 0 < weight <= 1:
        raise ValueError(f"The EWMA weight is {weight:g}, but must be over 0 and at most 1.")
    return weight


def mean_range_chart(subgroups: Sequence[Sequence[float]]) -> MeanRangeChart:
    """Mean and range chart of subgroups, all of one size from 2 to 25 values."""
    groups = [all_finite(g, f"Value of subgroup {i}") for i, g in enumerate(subgroups, 1)]
    if not groups:
        raise ValueError("Give at least one subgroup of values.")
    sizes = {len(group) for group in groups}
    if len(sizes) > 1:
        raise ValueError(f"Subgroups must all be of one size, not {sorted(sizes)}.")
    factors = factors_for(sizes.pop())
    means = tuple(math.fsum(g) / len(g) for g in groups)
    ranges = tuple(max(g) - min(g) for g in groups)
    grand, mean_range = math.fsum(means) / len(means), math.fsum(ranges) / len(ranges)
    reach = factors.A2 * mean_range
    limits = ChartLimits(grand, reach / LIMIT_SIGMAS, grand - reach, grand + reach)
    return MeanRangeChart(means, limits, ranges, _range_limits(mean_range, factors))


def _range_limits(mean_range: float, factors: ChartFactors) -> ChartLimits:
    return ChartLimits(
        mean_range,
        factors.d3 * mean_range / factors.d2,
        factors.D3 * mean_range,
        factors.D4 * mean_range,
    )
