"""Sample quantiles in the nine ways that are in use.

Source: R. J. Hyndman & Y. Fan, "Sample quantiles in statistical packages", The American
Statistician 50 (1996) 361-365. Type 8 is the one they recommend: nearly median-unbiased
whatever the distribution.
"""

import math
from collections.abc import Sequence

from floorboard.shop.checked_numbers import all_finite, between

RECOMMENDED_TYPE = 8

# (alpha, beta) of the types that interpolate: plotting position (k - alpha)/(n + 1 - alpha - beta).
_POSITIONS = {
    4: (0.0, 1.0),
    5: (0.5, 0.5),
    6: (0.0, 0.0),
    7: (1.0, 1.0),
    8: (1 / 3, 1 / 3),
    9: (3 / 8, 3 / 8),
}
# Products such as 0.7 * 10 fall a hair short of the whole number they stand for.
_HAIR = 4 * math.ulp(1.0)


def quantile(values: Sequence[float], share: float, *, kind: int = RECOMMENDED_TYPE) -> float:
    """Value below which the given share of the sample lies.

    Parameters
    ----------
    values : in any order, at least one.
    share : from 0 to 1; 0.5 is the median.
    kind : Hyndman & Fan type, 1 to 9.

    Raises
    ------
    ValueError : for no values, a share outside 0 to 1, or an unknown type.
    """
    ordered = sorted(all_finite(values, "Value"))
    p = between(share, 0, 1, "The quantile")
    count = len(ordered)
    if kind in (1, 2, 3):
        position = count * p - (0.5 if kind == 3 else 0.0)
        below, rest = _split(position)
        weight = _step_weight(kind, below, rest)
    elif kind in _POSITIONS:
        alpha, beta = _POSITIONS[kind]
        below, weight = _split(alpha + p * (count + 1 - alpha - beta))
    else:
        raise ValueError(f"Quantile type {kind} is not known; use 1 to 9.")
    low = ordered[min(max(below, 1), count) - 1]
    high = ordered[min(max(below + 1, 1), count) - 1]
    return low if weight == 0 or low == high else low + weight * (high - low)


def _split(position: float) -> tuple[int, float]:
    """Whole and fractional part, with a fraction that is only rounding taken as none."""
    below = math.floor(position + _HAIR * max(1.0, abs(position)))
    rest = position - below
    return below, 0.0 if abs(rest) <= _HAIR * max(1.0, abs(position)) else rest


def _step_weight(kind: int, below: int, rest: float) -> float:
    """Weight of the upper neighbour for the types that jump."""
    if rest > 0:
        return 1.0
    if kind == 2:
        return 0.5
    return 0.0 if kind == 1 or below % 2 == 0 else 1.0
