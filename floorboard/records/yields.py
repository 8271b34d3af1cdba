"""Yields with honest intervals, and a guard against ranking on a handful of castings.

Every yield is a share from 0 to 1 with the count it stands on. Intervals are Wilson's score
intervals, which stay inside 0 to 1 and mean something even at 0 of 3.

Sources: E. B. Wilson (1927), JASA 22, 209-212; NIST/SEMATECH e-Handbook 7.2.4.1.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from floorboard.shop.checked_numbers import at_least, between, open_share, whole

CONFIDENCE = 0.95
# The shop's own rule, no source: fewer castings than this are never compared.
LEAST_TO_COMPARE = 20


@dataclass(frozen=True, slots=True)
class Yield:
    """Good out of a total, as a share with its interval; all None when nothing was counted."""

    good: int
    total: int
    share: float | None
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True)
class RolledYield:
    """Chance that a casting passes every step the first time, with its interval."""

    share: float | None
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True)
class Comparison:
    """Which groups may be called better than which, as pairs (better, worse).

    `too_few` names the groups left out for want of castings; `sentence` says what may be said.
    """

    clear: tuple[tuple[str, str], ...]
    too_few: tuple[str, ...]
    sentence: str


def normal_quantile(share: float) -> float:
    """Score below which this share of a normal population lies; 0.975 gives 1.96."""
    # Only needed by reports: kept off the way to the first screen.
    from statistics import NormalDist

    return NormalDist().inv_cdf(open_share(share, "The share"))


def wilson_bounds(good: int, total: int, score: float) -> tuple[float, float]:
    """Wilson's interval for a given normal score, such as 1.96 (two-sided 95 %).

    Either end alone is the one-sided bound of that score: 1.645 for 95 %.

    Raises
    ------
    ValueError : when `total` is 0, or `good` is more than `total`.
    """
    whole(total, "The number of castings", least=1)
    _no_more_than(good, total)
    z = at_least(score, 0, "The normal score")
    p = good / total
    middle = p + z * z / (2 * total)
    reach = z * math.sqrt(p * (1 - p) / total + z * z / (4 * total * total))
    scale = 1 + z * z / total
    low, high = (middle - reach) / scale, (middle + reach) / scale
    # At the very ends rounding could carry a bound past the share itself.
    return min(p, max(0.0, low)), max(p, min(1.0, high))


def yield_of(good: int, total: int, *, confidence: float = CONFIDENCE) -> Yield:
    """Share of good castings with its two-sided interval; nothing counted gives no share."""
    whole(total, "The number of castings")
    _no_more_than(good, total)
    score = normal_quantile((1 + open_share(confidence, "The confidence")) / 2)
    if total == 0:
        return Yield(0, 0, None, None, None)
    low, high = wilson_bounds(good, total, score)
    return Yield(good, total, good / total, low, high)


def yield_at_least(good: int, total: int, *, confidence: float = CONFIDENCE) -> float:
    """One-sided lower bound: with this confidence the yield is no lower."""
    return wilson_bounds(good, total, normal_quantile(open_share(confidence, "The confidence")))[0]


def yield_at_most(good: int, total: int, *, confidence: float = CONFIDENCE) -> float:
    """One-sided upper bound: with this confidence the yield is no higher."""
    return wilson_bounds(good, total, normal_quantile(open_share(confidence, "The confidence")))[1]


def first_pass_yield(
    passed_first_time: int, inspected: int, *, confidence: float = CONFIDENCE
) -> Yield:
    """Castings that passed inspection the first time, without rework, of those inspected."""
    return yield_of(passed_first_time, inspected, confidence=confidence)


def rolled_yield_of_shares(shares: Sequence[float]) -> float:
    """Product of the steps' first pass yields; 1 for no steps."""
    return math.prod(between(s, 0, 1, f"Yield of step {i}") for i, s in enumerate(shares, 1))


def rolled_throughput_yield(steps: Sequence[Yield]) -> RolledYield:
    """First pass yields of the steps in a row, rolled into one, with its interval.

    The interval combines the steps' own intervals on the logarithm of the yield, so it keeps
    to their confidence. Source: Zou & Donner, Statistics in Medicine 27 (2008) 1693-1702.
    """
    if not steps or any(step.share is None for step in steps):
        return RolledYield(None, None, None)
    shares = [step.share or 0.0 for step in steps]
    lows = [step.low or 0.0 for step in steps]
    highs = [step.high or 0.0 for step in steps]
    share = math.prod(shares)
    if share == 0:
        return RolledYield(0.0, 0.0, min(highs))
    pairs = list(zip(shares, lows, highs, strict=True))
    up = math.hypot(*(math.log(high / s) for s, _, high in pairs))
    if min(lows) == 0:
        return RolledYield(share, 0.0, min(1.0, share * math.exp(up)))
    down = math.hypot(*(math.log(s / low) for s, low, _ in pairs))
    return RolledYield(share, share * math.exp(-down), min(1.0, share * math.exp(up)))


def poisson_yield(defects_per_unit: Sequence[float]) -> float:
    """Share of castings without any defect, from defects per casting of each step.

    exp(-sum of dpu), for defects that fall independently. Source: Harry (2004).
    """
    return math.exp(
        -math.fsum(
            at_least(d, 0, f"Defects per casting of step {i}")
            for i, d in enumerate(defects_per_unit, 1)
        )
    )


def difference_bounds(
    good_a: int, total_a: int, good_b: int, total_b: int, score: float
) -> tuple[float, float]:
    """Interval of the difference of two yields, a less b.

    Source: Newcombe, Statistics in Medicine 17 (1998) 873-890, method 10.
    """
    low_a, high_a = wilson_bounds(good_a, total_a, score)
    low_b, high_b = wilson_bounds(good_b, total_b, score)
    a, b = good_a / total_a, good_b / total_b
    return (
        a - b - math.hypot(a - low_a, high_b - b),
        a - b + math.hypot(high_a - a, b - low_b),
    )


def compare_yields(
    groups: Mapping[str, tuple[int, int]],
    *,
    least: int = LEAST_TO_COMPARE,
    confidence: float = CONFIDENCE,
) -> Comparison:
    """Say which groups (molds, people, mix lots) differ, and only where the counts can tell.

    Parameters
    ----------
    groups : name to (good, total).
    least : groups with fewer castings are left out and named.
    confidence : of all pairs together; each pair is held to a stricter one (Bonferroni).
    """
    for good, total in groups.values():
        whole(total, "The number of castings")
        _no_more_than(good, total)
    floor = whole(least, "The least number of castings", least=1)
    too_few = tuple(name for name, (_, total) in groups.items() if total < floor)
    pairs = list(combinations([name for name in groups if name not in too_few], 2))
    clear = []
    if pairs:
        doubt = (1 - open_share(confidence, "The confidence")) / len(pairs)
        score = normal_quantile(1 - doubt / 2)
        for a, b in pairs:
            low, high = difference_bounds(*groups[a], *groups[b], score)
            if low > 0 or high < 0:
                clear.append((a, b) if low > 0 else (b, a))
    return Comparison(tuple(clear), too_few, _say(groups, clear, too_few, len(pairs), floor))


def _say(
    groups: Mapping[str, tuple[int, int]],
    clear: Sequence[tuple[str, str]],
    too_few: Sequence[str],
    pairs: int,
    floor: int,
) -> str:
    parts = []
    for better, worse in clear:
        parts.append(
            f"{worse} ({_percent(groups[worse])}) yields less than {better} "
            f"({_percent(groups[better])})."
        )
    if pairs and not clear:
        parts.append("The differences are no greater than chance alone makes.")
    for name in too_few:
        total = groups[name][1]
        noun = "casting" if total == 1 else "castings"
        parts.append(f"{name} is not compared: {total} {noun}, at least {floor} needed.")
    return " ".join(parts) or "There is nothing to compare yet."


def _percent(counts: tuple[int, int]) -> str:
    return f"{counts[0]} of {counts[1]}, {100 * counts[0] / counts[1]:.0f} %"


def _no_more_than(good: int, total: int) -> None:
    if whole(good, "The number of good castings") > total:
        raise ValueError(f"{good} good of {total} castings cannot be; count again.")
