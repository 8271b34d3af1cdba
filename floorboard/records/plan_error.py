"""How far the plan's durations were from the day's, and whether that is getting better.

For each day: the median of |actual - planned| / planned over its tasks (how far off), and the
median of (actual - planned) / planned (which way). The trend over days is Theil and Sen's
slope, and Mann and Kendall's test says whether it is more than chance.

Sources: Mann (1945), Econometrica 13, 245-259; Kendall, *Rank Correlation Methods* (1975), with
the correction for ties; Sen (1968), JASA 63, 1379-1389.
"""

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

from floorboard.records.quantiles import quantile
from floorboard.shop.checked_numbers import above, all_finite, at_least, open_share, whole

# The shop's own default, no source.
LEAST_DAYS = 10


@dataclass(frozen=True, slots=True)
class DayError:
    """One day's prediction error as shares: 0.25 off is a quarter; bias over 0 ran longer."""

    tasks: int
    off: float
    bias: float


@dataclass(frozen=True, slots=True)
class ErrorTrend:
    """Trend of the error over days.

    `slope_per_day` is a share a day (under 0: getting better), None with fewer than two days;
    `chance` is how often chance alone makes a trend as clear, None with too few days.
    """

    verdict: Literal["better", "worse", "no clear change", "too few days"]
    slope_per_day: float | None
    chance: float | None
    sentence: str


def day_error(tasks: Sequence[tuple[float, float]]) -> DayError | None:
    """Error of one day from its tasks' (planned, actual) minutes; None without tasks.

    ``ValueError`` when a planned time is not over 0 or an actual one is under 0.
    """
    shares = [
        (at_least(actual, 0, f"Actual minutes of task {i}") - planned)
        / above(planned, 0, f"Planned minutes of task {i}")
        for i, (planned, actual) in enumerate(tasks, 1)
    ]
    if not shares:
        return None
    return DayError(len(shares), quantile([abs(s) for s in shares], 0.5), quantile(shares, 0.5))


def error_trend(
    off_by_day: Mapping[int, float], *, least_days: int = LEAST_DAYS, confidence: float = 0.95
) -> ErrorTrend:
    """Say whether the plan is getting better.

    Parameters
    ----------
    off_by_day : the `off` of each day, by day number; days without tasks are left out.
    """
    days = sorted(off_by_day)
    values = all_finite([off_by_day[day] for day in days], "Error of day", least=0)
    doubt = 1 - open_share(confidence, "The confidence")
    pairs = list(combinations(zip(days, values, strict=True), 2))
    slope = quantile([(b - a) / (t - s) for (s, a), (t, b) in pairs], 0.5) if pairs else None
    floor = whole(least_days, "The least number of days", least=4)
    if slope is None or len(days) < floor:
        text = f"{len(days)} days with a plan; {floor} are needed to see a trend."
        return ErrorTrend("too few days", slope, None, text)
    score = _trend_score(values, sum((b > a) - (b < a) for (_, a), (_, b) in pairs))
    chance = math.erfc(abs(score) / math.sqrt(2))
    recent = 100 * quantile(values[-5:], 0.5)
    if chance > doubt:
        text = f"The plan is about {recent:.0f} % off, with no clear change over {len(days)} days."
        return ErrorTrend("no clear change", slope, chance, text)
    verdict: Literal["better", "worse"] = "better" if score < 0 else "worse"
    text = f"The plan is getting {verdict}: about {recent:.0f} % off over the last five days."
    return ErrorTrend(verdict, slope, chance, text)


def _trend_score(values: Sequence[float], rises_less_falls: int) -> float:
    """Normal score of Mann and Kendall's statistic, corrected for ties and continuity."""
    count = len(values)
    ties = sum(n * (n - 1) * (2 * n + 5) for n in Counter(values).values())
    variance = (count * (count - 1) * (2 * count + 5) - ties) / 18
    if variance == 0 or rises_less_falls == 0:
        return 0.0
    step = 1 if rises_less_falls > 0 else -1
    return (rises_less_falls - step) / math.sqrt(variance)
