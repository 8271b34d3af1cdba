"""Survival of molds from the log, without assuming a shape: Kaplan-Meier.

The clock of a mold is its pulls. A mold that wore out (was retired for wear) is a failure at
its last pull; a mold still in use, or lost for another reason, is censored: it lasted at least
that long.

Sources: Kaplan & Meier (1958); NIST/SEMATECH e-Handbook 8.2.1.5; variance by Greenwood (1926),
interval on the log(-log) scale (Kalbfleisch & Prentice), which stays within 0 and 1.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from floorboard.records.yields import normal_quantile
from floorboard.shop.checked_numbers import above, at_least, open_share


@dataclass(frozen=True, slots=True)
class SurvivalStep:
    """State just after a number of pulls at which molds wore out."""

    pulls: float
    at_risk: int
    worn_out: int
    survival: float
    standard_error: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class SurvivalCurve:
    """Steps in the order of pulls; before the first the survival is 1."""

    steps: tuple[SurvivalStep, ...]
    molds: int
    longest_pulls: float

    @property
    def worn_out(self) -> int:
        """Molds that wore out."""
        return sum(step.worn_out for step in self.steps)

    def survival_at(self, pulls: float) -> float:
        """Share of molds that last more than so many pulls."""
        at_least(pulls, 0, "Pulls")
        share = 1.0
        for step in self.steps:
            if step.pulls > pulls:
                break
            share = step.survival
        return share

    def pulls_until(self, chance: float, *, survived: float = 0.0) -> float | None:
        """Pulls by which a mold that has survived some has worn out with at least this chance.

        None when the log does not reach so far.
        """
        level = self.survival_at(survived) * (1 - open_share(chance, "The chance"))
        for step in self.steps:
            if step.pulls > survived and step.survival <= level + 1e-12:
                return step.pulls
        return None

    def expected_remaining(self, survived: float) -> float | None:
        """Mean pulls still to come, counted no further than the longest mold in the log.

        A floor, then, unless the curve reaches 0. None past the end of the log.
        """
        start = self.survival_at(survived)
        if start == 0 or survived >= self.longest_pulls:
            return None
        area, since, share = 0.0, survived, start
        for step in self.steps:
            if step.pulls > survived:
                area += share * (step.pulls - since)
                since, share = step.pulls, step.survival
        return (area + share * (self.longest_pulls - since)) / start


def checked_lives(
    pulls: Sequence[float], worn_out: Sequence[bool]
) -> tuple[tuple[float, bool], ...]:
    """Lives as (pulls, worn out), when there is one flag a mold and all pulls are over 0."""
    if len(pulls) != len(worn_out):
        raise ValueError(f"{len(pulls)} molds have {len(worn_out)} ends; give one each.")
    if not pulls:
        raise ValueError("Give the pulls of at least one mold.")
    return tuple(
        (above(p, 0, f"Pulls of mold {i}"), bool(worn))
        for i, (p, worn) in enumerate(zip(pulls, worn_out, strict=True), 1)
    )


def survival_curve(
    pulls: Sequence[float], worn_out: Sequence[bool], *, confidence: float = 0.95
) -> SurvivalCurve:
    """Kaplan-Meier curve of molds.

    Parameters
    ----------
    pulls : pulls made so far, one for each mold, over 0.
    worn_out : for each mold, True when it wore out, False when it is in use or lost otherwise.

    Raises
    ------
    ValueError : for no molds, flags of another number, or impossible pulls.
    """
    lives = checked_lives(pulls, worn_out)
    score = normal_quantile((1 + open_share(confidence, "The confidence")) / 2)
    steps: list[SurvivalStep] = []
    survival, greenwood = 1.0, 0.0
    for time in sorted({p for p, worn in lives if worn}):
        # A mold censored at the same pull was still in use there.
        at_risk = sum(p >= time for p, _ in lives)
        failed = sum(p == time and worn for p, worn in lives)
        survival *= 1 - failed / at_risk
        greenwood += failed / (at_risk * (at_risk - failed)) if at_risk > failed else math.inf
        low, high = _interval(survival, greenwood, score, steps)
        error = survival * math.sqrt(greenwood) if survival > 0 else 0.0
        steps.append(SurvivalStep(time, at_risk, failed, survival, error, low, high))
    return SurvivalCurve(tuple(steps), len(lives), max(p for p, _ in lives))


def _interval(
    survival: float, greenwood: float, score: float, before: Sequence[SurvivalStep]
) -> tuple[float, float]:
    if survival == 0:
        # Nothing is left to estimate a spread from: the last known upper bound stands.
        return 0.0, before[-1].high if before else 1.0
    spread = math.exp(score * math.sqrt(greenwood) / abs(math.log(survival)))
    return survival**spread, survival ** (1 / spread)
