"""Run rules: patterns on a control chart that chance alone seldom makes.

Every rule looks at the latest few scores (distance from the centre line in sigmas, oldest
first) and says which of them make the pattern. A point on a line counts as inside it, and a
point on the centre line is on neither side. A rule fires on the point that completes it.

Sources: Western Electric, *Statistical Quality Control Handbook* (1956), zone tests;
L. S. Nelson, "The Shewhart Control Chart: Tests for Special Causes", Journal of Quality
Technology 16(4), October 1984.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from floorboard.records.control_charts import ChartLimits

Pattern = Callable[[Sequence[float]], tuple[int, ...]]


@dataclass(frozen=True, slots=True)
class OneSide:
    """At least `needed` of the last `window` points beyond `sigmas`, all on one side.

    Rules of this form have run lengths that can be calculated; see `run_lengths`.
    """

    needed: int
    window: int
    sigmas: float

    def pattern(self, scores: Sequence[float]) -> tuple[int, ...]:
        """Positions of the points that make the pattern, the latest among them, or none."""
        for side in (1, -1):
            hits = tuple(i for i, z in enumerate(scores) if side * z > self.sigmas)
            if len(hits) >= self.needed and hits[-1] == len(scores) - 1:
                return hits
        return ()


@dataclass(frozen=True, slots=True)
class RunRule:
    """One named rule: how many scores it looks at, and the pattern it looks for."""

    name: str
    text: str
    window: int
    pattern: Pattern
    one_side: OneSide | None = None


@dataclass(frozen=True, slots=True)
class RuleSignal:
    """A rule fired on point `index`; `points` are the castings that make its pattern."""

    rule: str
    text: str
    index: int
    points: tuple[int, ...]


def _one_side(name: str, text: str, needed: int, window: int, sigmas: float) -> RunRule:
    shape = OneSide(needed, window, sigmas)
    return RunRule(name, text, window, shape.pattern, shape)


def _steady_trend(window: int) -> Pattern:
    def pattern(scores: Sequence[float]) -> tuple[int, ...]:
        if len(scores) < window:
            return ()
        steps = [b - a for a, b in pairwise(scores)]
        steady = all(s > 0 for s in steps) or all(s < 0 for s in steps)
        return tuple(range(window)) if steady else ()

    return pattern


def _alternating(window: int) -> Pattern:
    def pattern(scores: Sequence[float]) -> tuple[int, ...]:
        if len(scores) < window:
            return ()
        steps = [b - a for a, b in pairwise(scores)]
        turns = all(a * b < 0 for a, b in pairwise(steps))
        return tuple(range(window)) if turns else ()

    return pattern


def _all(window: int, holds: Callable[[float], bool]) -> Pattern:
    def pattern(scores: Sequence[float]) -> tuple[int, ...]:
        full = len(scores) == window and all(holds(z) for z in scores)
        return tuple(range(window)) if full else ()

    return pattern


def _both_sides_outside(window: int) -> Pattern:
    outside = _all(window, lambda z: abs(z) > 1)

    def pattern(scores: Sequence[float]) -> tuple[int, ...]:
        both = any(z > 0 for z in scores) and any(z < 0 for z in scores)
        return outside(scores) if both else ()

    return pattern


_BEYOND_3 = "one beyond 3 sigma"
_BEYOND_2 = "two of three beyond 2 sigma on one side"
_BEYOND_1 = "four of five beyond 1 sigma on one side"

WESTERN_ELECTRIC: tuple[RunRule, ...] = (
    _one_side("western-electric-1", _BEYOND_3, 1, 1, 3),
    _one_side("western-electric-2", _BEYOND_2, 2, 3, 2),
    _one_side("western-electric-3", _BEYOND_1, 4, 5, 1),
    _one_side("western-electric-4", "eight in a row on one side", 8, 8, 0),
)

NELSON: tuple[RunRule, ...] = (
    _one_side("nelson-1", _BEYOND_3, 1, 1, 3),
    _one_side("nelson-2", "nine in a row on one side", 9, 9, 0),
    RunRule("nelson-3", "six in a row steadily rising or falling", 6, _steady_trend(6)),
    RunRule("nelson-4", "fourteen in a row alternately up and down", 14, _alternating(14)),
    _one_side("nelson-5", _BEYOND_2, 2, 3, 2),
    _one_side("nelson-6", _BEYOND_1, 4, 5, 1),
    RunRule("nelson-7", "fifteen in a row within 1 sigma", 15, _all(15, lambda z: abs(z) < 1)),
    RunRule("nelson-8", "eight in a row beyond 1 sigma, on both sides", 8, _both_sides_outside(8)),
)


def rule_signals(scores: Sequence[float], rules: Sequence[RunRule]) -> tuple[RuleSignal, ...]:
    """Every firing of every rule, in the order of the points.

    Parameters
    ----------
    scores : distances from the centre line in sigmas, in the order cast; see
        `ChartLimits.scores`.
    rules : `WESTERN_ELECTRIC`, `NELSON`, or a choice of them.
    """
    found = []
    for index in range(len(scores)):
        for rule in rules:
            start = max(0, index + 1 - rule.window)
            hits = rule.pattern(scores[start : index + 1])
            if hits:
                points = tuple(start + i for i in hits)
                found.append(RuleSignal(rule.name, rule.text, index, points))
    return tuple(found)


def chart_signals(
    values: Sequence[float], limits: ChartLimits, rules: Sequence[RunRule] = WESTERN_ELECTRIC
) -> tuple[RuleSignal, ...]:
    """Run rules over values in their own unit, against known limits."""
    return rule_signals(limits.scores(values), rules)
