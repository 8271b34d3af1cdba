"""Says in a plain sentence whether a piece's castings have drifted light or heavy.

Castings are weighed at demold; a light casting has a thin wall. Two charts watch the weights:
the run rules over single weights, which see a sudden large change, and an EWMA, which sees a
small lasting one.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from floorboard.records.control_charts import ChartLimits, EwmaChart, ewma_chart
from floorboard.records.run_rules import WESTERN_ELECTRIC, RuleSignal, RunRule, chart_signals
from floorboard.shop.checked_numbers import above, all_finite, finite

# In control this EWMA signals once in 500 castings on average, and sees a shift of one sigma
# after about ten. Source: Montgomery, Introduction to Statistical Quality Control, ARL table
# for EWMA schemes after Lucas & Saccucci (1990) (from memory; recomputed in run_lengths).
EWMA_SMOOTHING = 0.2
EWMA_WIDTH = 2.962

Direction = Literal["steady", "light", "heavy"]

_NUMBER_WORDS = (
    "", "", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
    "eleven", "twelve",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class WeightDrift:
    """What the weights of one piece say.

    Attributes
    ----------
    direction : ``steady`` unless a chart signals on the latest casting.
    castings : how many of the latest castings lie on that side of the centre without a break;
        0 when steady, or when it is the average alone that has drifted.
    shift_grams : mean distance of those castings (or of the EWMA) from the centre line; under
        0 when light.
    wall_mm : the same as wall thickness, where the piece's area and density are known.
    layer : the layer whose amounts explain at least half of the shift, where amounts are known.
    signals : every run rule that fired, on any casting.
    ewma : the EWMA chart of the weights.
    """

    direction: Direction
    castings: int
    shift_grams: float
    wall_mm: float | None
    layer: str | None
    signals: tuple[RuleSignal, ...]
    ewma: EwmaChart
    sentence: str


def read_weights(
    piece: str,
    weights_grams: Sequence[float],
    limits: ChartLimits,
    *,
    wall_mm_per_gram: float | None = None,
    layer_shifts_grams: Mapping[str, Sequence[float]] | None = None,
    rules: Sequence[RunRule] = WESTERN_ELECTRIC,
    smoothing: float = EWMA_SMOOTHING,
    width: float = EWMA_WIDTH,
) -> WeightDrift:
    """Judge the latest casting weights of a piece against its limits.

    Parameters
    ----------
    weights_grams : demold weights in the order cast, each over 0.
    wall_mm_per_gram : wall thickness one gram makes, 10 / (set density g/ml x area cm2).
    layer_shifts_grams : for each layer, amount applied less amount planned, one for each
        weight in the same order.

    Raises
    ------
    ValueError : for a weight that is not over 0, or layer amounts of another number.
    """
    weights = tuple(
        above(w, 0, f"Weight of casting {i} in grams") for i, w in enumerate(weights_grams, 1)
    )
    layers = _checked_layers(layer_shifts_grams or {}, len(weights))
    signals = chart_signals(weights, limits, rules)
    ewma = ewma_chart(weights, limits.center, limits.sigma, smoothing=smoothing, width=width)
    # Trends and alternation say that something changes, not to which side.
    sided = {rule.name for rule in rules if rule.one_side is not None}
    telling = [s for s in signals if s.rule in sided and s.index == len(weights) - 1]
    side = _side(weights, bool(telling), ewma)
    if side == 0:
        sentence = _steady(piece, len(weights))
        return WeightDrift("steady", 0, 0.0, None, None, signals, ewma, sentence)
    count = _run_on(side, weights, limits.center)
    if count < 2 and not telling:
        # Only the average signals: the drift is of the lot, not of an unbroken run.
        count, shift = 0, ewma.averages[-1] - limits.center
    else:
        shift = math.fsum(weights[-count:]) / count - limits.center
    wall = None
    if wall_mm_per_gram is not None:
        wall = shift * above(wall_mm_per_gram, 0, "Wall thickness per gram")
    # An EWMA reaches back as far as a plain average of 2 / weight - 1 values.
    reach = count or min(len(weights), round(2 / smoothing - 1))
    layer = _likely_layer(layers, reach, shift)
    direction: Direction = "light" if side < 0 else "heavy"
    sentence = _drifted(piece, direction, count, shift, wall, layer)
    return WeightDrift(direction, count, shift, wall, layer, signals, ewma, sentence)


def _checked_layers(
    layers: Mapping[str, Sequence[float]], count: int
) -> dict[str, tuple[float, ...]]:
    checked = {}
    for name, shifts in layers.items():
        checked[name] = all_finite(shifts, f"Amount of {name}", least=0)
        if len(shifts) != count:
            raise ValueError(
                f"{name} has {len(shifts)} amounts for {count} castings; give one each."
            )
    return checked


def _side(weights: Sequence[float], rule_fired: bool, ewma: EwmaChart) -> int:
    """-1 light, 1 heavy, 0 when no chart signals on the latest casting."""
    latest = len(weights) - 1
    # A rule is about the castings themselves, so it goes before the average.
    if rule_fired:
        return 1 if weights[latest] > ewma.center else -1
    if latest in ewma.signals:
        return 1 if ewma.averages[latest] > ewma.center else -1
    return 0


def _run_on(side: int, weights: Sequence[float], center: float) -> int:
    count = 0
    for weight in reversed(weights):
        if side * (weight - center) <= 0:
            break
        count += 1
    return count


def _likely_layer(
    layers: Mapping[str, Sequence[float]], count: int, shift_grams: float
) -> str | None:
    """The layer that explains the most of the shift, if that is at least half of it."""
    shares = {
        name: math.fsum(shifts[-count:]) / count / shift_grams for name, shifts in layers.items()
    }
    best = max(shares, key=lambda name: finite(shares[name], name), default=None)
    return best if best is not None and shares[best] >= 0.5 else None


def _steady(piece: str, count: int) -> str:
    if count == 0:
        return f"No castings of {piece} have been weighed yet."
    return f"Weights of {piece} are steady."


def _drifted(
    piece: str, direction: str, count: int, shift: float, wall: float | None, layer: str | None
) -> str:
    if count == 0:
        opening = f"Castings of {piece} run {direction} on average"
    elif count == 1:
        opening = f"The last casting of {piece} is {direction}"
    else:
        word = _NUMBER_WORDS[count] if count < len(_NUMBER_WORDS) else str(count)
        opening = f"The last {word} castings of {piece} are {direction}"
    if wall is None:
        text = f"{opening}, by about {abs(shift):.0f} g"
    else:
        text = f"{opening}: walls about {abs(wall):.1f} mm {'thin' if shift < 0 else 'thick'}"
    return f"{text}; {layer} is the likely one." if layer else f"{text}."
