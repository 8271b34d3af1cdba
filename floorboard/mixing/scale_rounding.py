"""Rounding to what a scale can show."""

from __future__ import annotations

import math
from decimal import ROUND_HALF_UP, Decimal

from floorboard.mixing.refusal import refuse


def to_scale(grams: float, resolution_grams: float) -> float:
    """Return the nearest weight the scale can show; halves go up.

    Worked in decimals, so that 3 ticks of 0.1 g are 0.3 g and not 0.30000000000000004 g.
    """
    return ticks_to_grams(to_ticks(grams, resolution_grams), resolution_grams)


def to_ticks(grams: float, resolution_grams: float) -> int:
    """Return the whole number of scale divisions nearest to a weight."""
    if not math.isfinite(resolution_grams) or resolution_grams <= 0:
        raise refuse(
            "scale_resolution", f"found {resolution_grams:g} g, expected more than nothing"
        )
    ratio = Decimal(repr(float(grams))) / Decimal(repr(float(resolution_grams)))
    return int(ratio.to_integral_value(rounding=ROUND_HALF_UP))


def ticks_to_grams(ticks: int, resolution_grams: float) -> float:
    """Return the weight of so many scale divisions, in grams."""
    return float(ticks * Decimal(repr(float(resolution_grams))))
