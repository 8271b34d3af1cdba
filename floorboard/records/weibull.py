"""Weibull life of molds by maximum likelihood, molds still in use counted as censored.

S(n) = exp[-(n / scale)^shape]: a shape over 1 means that molds wear, under 1 that the weak
ones fail early.

Sources: NIST/SEMATECH e-Handbook 8.2.2.1 and 8.4.1.3; incomplete gamma function by series and
continued fraction, DLMF 8.7.1 and 8.9.2.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from floorboard.records.mold_survival import checked_lives
from floorboard.shop.checked_numbers import above, at_least, open_share

_STEEPEST_SHAPE = 1e4


@dataclass(frozen=True, slots=True)
class WeibullLife:
    """Shape (no unit) and scale (pulls), with standard errors where they were estimated."""

    shape: float
    scale: float
    shape_error: float | None = None
    scale_error: float | None = None

    def __post_init__(self) -> None:
        above(self.shape, 0, "Weibull shape")
        above(self.scale, 0, "Weibull scale in pulls")

    def survival_at(self, pulls: float) -> float:
        """Share of molds that last more than so many pulls."""
        return math.exp(-self._hazard(pulls))

    def pulls_until(self, chance: float, *, survived: float = 0.0) -> float:
        """Pulls by which a mold that has survived some has worn out with this chance."""
        more = -math.log1p(-open_share(chance, "The chance"))
        return self.scale * float((self._hazard(survived) + more) ** (1 / self.shape))

    def expected_remaining(self, survived: float = 0.0) -> float:
        """Mean pulls still to come for a mold that has survived so many."""
        hazard = self._hazard(survived)
        total = self.scale * scaled_upper_gamma(1 + 1 / self.shape, hazard)
        return max(0.0, total - survived)

    def _hazard(self, pulls: float) -> float:
        return float((at_least(pulls, 0, "Pulls") / self.scale) ** self.shape)


def fit_weibull(pulls: Sequence[float], worn_out: Sequence[bool]) -> WeibullLife:
    """Maximum likelihood fit, by bisection on the profile equation of the shape.

    Raises
    ------
    ValueError : as `survival_curve`, or when fewer than two molds wore out, or when all wore
        out at the same pull and none lasted longer, so that no shape fits best.
    """
    lives = checked_lives(pulls, worn_out)
    failures = sum(worn for _, worn in lives)
    if failures < 2:
        raise ValueError(f"{failures} worn-out molds; at least 2 are needed to fit a life.")
    longest = max(p for p, _ in lives)
    # Divided by the longest so that no power of a life overflows.
    logs = [math.log(p / longest) for p, _ in lives]
    mean_log = math.fsum(x for x, (_, worn) in zip(logs, lives, strict=True) if worn) / failures

    def slope(shape: float) -> float:
        weights = [math.exp(shape * x) for x in logs]
        tilt = math.fsum(w * x for w, x in zip(weights, logs, strict=True)) / math.fsum(weights)
        return tilt - 1 / shape - mean_log

    low, high = 1e-3, 1.0
    while slope(high) < 0:
        low, high = high, high * 2
        if high > _STEEPEST_SHAPE:
            raise ValueError("All molds wore out at the same pull; no life curve fits best.")
    for _ in range(200):
        middle = 0.5 * (low + high)
        if middle in (low, high):
            break
        low, high = (middle, high) if slope(middle) < 0 else (low, middle)
    shape = 0.5 * (low + high)
    mean_power = math.fsum(math.exp(shape * x) for x in logs) / failures
    scale = longest * mean_power ** (1 / shape)
    return WeibullLife(shape, scale, *_errors(shape, scale, lives, failures))


def _errors(
    shape: float, scale: float, lives: Sequence[tuple[float, bool]], failures: int
) -> tuple[float, float]:
    """Standard errors of shape and scale from the observed information."""
    logs = [math.log(p / scale) for p, _ in lives]
    powers = [math.exp(shape * x) for x in logs]
    cross = shape * math.fsum(w * x for w, x in zip(powers, logs, strict=True))
    in_shape = failures / shape**2 + math.fsum(w * x * x for w, x in zip(powers, logs, strict=True))
    in_scale = shape**2 * math.fsum(powers)
    determinant = in_shape * in_scale - cross**2
    return math.sqrt(in_scale / determinant), scale * math.sqrt(in_shape / determinant)


def scaled_upper_gamma(a: float, x: float) -> float:
    """Upper incomplete gamma function times e^x, for a over 0 and x of 0 or more.

    The factor e^x keeps a mold far past its usual life from becoming 0 over 0.
    """
    if x < a + 1:
        term = total = 1 / a
        count = 0
        while term > total * 1e-17:
            count += 1
            term *= x / (a + count)
            total += term
        return math.exp(x) * math.gamma(a) - (x**a * total if x > 0 else 0.0)
    # Continued fraction by Lentz's method.
    tiny = 1e-300
    b = x + 1 - a
    c, d = 1 / tiny, 1 / b
    value = d
    for i in range(1, 10_000):
        factor = i * (a - i)
        b += 2
        d = 1 / (factor * d + b or tiny)
        c = b + factor / c or tiny
        value *= c * d
        if abs(c * d - 1) < 1e-16:
            break
    return float(x**a * value)
