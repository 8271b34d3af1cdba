"""How many castings a control chart needs before it signals: its known run lengths.

A chart that seldom cries wolf is slow to see a small change. These functions give the number
of castings until the first signal, in control and after a shift of the mean, for normal
observations and limits that are known (not themselves estimated from a few castings).

Sources: Champ & Woodall, "Exact results for Shewhart control charts with supplementary runs
rules", Technometrics 29 (1987) 393-399 (Markov chain); Crowder, "A simple method for studying
run-length distributions of EWMA charts", Technometrics 29 (1987) 401-407 (integral equation,
solved here by Gauss-Legendre quadrature); Waldmann (1986) for the distribution.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from floorboard.records.control_charts import LIMIT_SIGMAS, smoothing_weight
from floorboard.records.run_rules import WESTERN_ELECTRIC, OneSide, RunRule
from floorboard.shop.checked_numbers import above, finite, open_share, whole

if TYPE_CHECKING:
    import numpy as np

    Matrix = np.ndarray[Any, np.dtype[np.float64]]

# Odd, so that the middle node is the centre line, where a chart starts.
_EWMA_NODES = 101
# The tail of a run length falls off geometrically; its shape is kept up to this share.
_TAIL_SHARE = 0.005
_LONGEST_TAIL = 20_000

_Hits = tuple[bool, ...]
_State = tuple[_Hits, ...]


@dataclass(frozen=True, slots=True)
class RunLength:
    """Castings from the first one after a change up to and including the first signal.

    Attributes
    ----------
    mean : average run length, in castings.
    silent : chance that no signal has come after 0, 1, 2, ... castings.
    """

    mean: float
    silent: tuple[float, ...]

    def chance_within(self, castings: int) -> float:
        """Chance that the chart has signalled within so many castings."""
        count = whole(castings, "The number of castings")
        if count < len(self.silent):
            return 1 - self.silent[count]
        # Past the kept part every casting leaves the same share silent.
        last, before = self.silent[-1], self.silent[-2]
        share = last / before if before > 0 else 0.0
        return 1 - last * share ** (count - len(self.silent) + 1)

    def castings_for(self, chance: float) -> int:
        """Fewest castings within which the chart signals with at least this chance."""
        wanted = open_share(chance, "The chance")
        for count, silent in enumerate(self.silent):
            if 1 - silent >= wanted:
                return count
        last, before = self.silent[-1], self.silent[-2]
        if last >= before:
            raise ValueError("This chart signals so seldom that no number can be given.")
        more = math.log((1 - wanted) / last) / math.log(last / before)
        return len(self.silent) - 1 + max(1, math.ceil(more - 1e-9))


def rules_run_length(
    shift_sigmas: float = 0.0, rules: Sequence[RunRule] = WESTERN_ELECTRIC
) -> RunLength:
    """Run length of an individuals chart under run rules, for a shift of the mean.

    Raises
    ------
    ValueError : when no rule is given, or one is not of the form "so many of so many beyond a
        line on one side" (trends and alternation depend on more than zones).
    """
    import numpy as np

    shapes = [rule.one_side for rule in rules]
    if not shapes or any(shape is None for shape in shapes):
        raise ValueError("Run lengths are known for rules that count points beyond a line only.")
    sides = [(shape, side) for shape in shapes if shape is not None for side in (1, -1)]
    zones = _zones(sides, finite(shift_sigmas, "The shift"))
    start: _State = tuple(() for _ in sides)
    numbers, open_states, moves = {start: 0}, [start], []
    while open_states:
        state = open_states.pop()
        for chance, score in zones:
            following = _after(state, score, sides)
            if following is None:
                continue
            if following not in numbers:
                numbers[following] = len(numbers)
                open_states.append(following)
            moves.append((numbers[state], numbers[following], chance))
    matrix = np.zeros((len(numbers), len(numbers)))
    for origin, target, chance in moves:
        matrix[origin, target] += chance
    return _run_length(matrix, 0)


def ewma_run_length(
    shift_sigmas: float = 0.0, *, smoothing: float = 0.2, width: float = LIMIT_SIGMAS
) -> RunLength:
    """Run length of an EWMA chart with settled limits, started at the centre line.

    `shift_sigmas` is the change of the mean in sigmas of a single value, `width` the distance
    of the limits in sigmas of the average.
    """
    import numpy as np

    weight, shift = smoothing_weight(smoothing), finite(shift_sigmas, "The shift")
    reach = above(width, 0, "The width of the limits") * math.sqrt(weight / (2 - weight))
    nodes, shares = np.polynomial.legendre.leggauss(_EWMA_NODES)
    places = reach * nodes
    # The value that carries the average from one place to the other, as a standard normal.
    needed = (places[None, :] - (1 - weight) * places[:, None]) / weight - shift
    density = np.exp(-0.5 * needed**2) / math.sqrt(2 * math.pi)
    return _run_length(density * reach * shares[None, :] / weight, _EWMA_NODES // 2)


def _zones(sides: Sequence[tuple[OneSide, int]], shift: float) -> list[tuple[float, float]]:
    """Chance of each zone between the rules' lines, with a score that lies inside it."""
    lines = sorted({side * shape.sigmas for shape, side in sides} | {0.0})
    ends = [-math.inf, *lines, math.inf]
    found = []
    for low, high in pairwise(ends):
        inside = high - 1 if low == -math.inf else low + 1 if high == math.inf else (low + high) / 2
        found.append((_normal_share(high - shift) - _normal_share(low - shift), inside))
    return found


def _normal_share(score: float) -> float:
    return 0.5 * math.erfc(-score / math.sqrt(2))


def _after(state: _State, score: float, sides: Sequence[tuple[OneSide, int]]) -> _State | None:
    """What still counts after one more point, or None when a rule fires on it."""
    following = []
    for (shape, side), past in zip(sides, state, strict=True):
        hits = (side * score > shape.sigmas, *past)[: shape.window]
        if hits[0] and sum(hits) >= shape.needed:
            return None
        following.append(_still_useful(hits, shape))
    return tuple(following)


def _still_useful(hits: _Hits, shape: OneSide) -> _Hits:
    """Drop hits that can no longer be part of a pattern, so that like states fall together."""
    useful: list[bool] = []
    seen = 0
    for age, hit in enumerate(hits[: shape.window - 1], 1):
        seen += hit
        useful.append(hit and seen + shape.window - age >= shape.needed)
    while useful and not useful[-1]:
        useful.pop()
    return tuple(useful)


def _run_length(matrix: "Matrix", start: int) -> RunLength:
    import numpy as np

    size = len(matrix)
    mean = float(np.linalg.solve(np.eye(size) - matrix, np.ones(size))[start])
    left, silent = np.ones(size), [1.0]
    while len(silent) < 3 or (silent[-1] > _TAIL_SHARE and len(silent) < _LONGEST_TAIL):
        left = matrix @ left
        silent.append(max(0.0, min(silent[-1], float(left[start]))))
    return RunLength(mean, tuple(silent))
