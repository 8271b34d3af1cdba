"""What digits typed at the scale mean: the weight that went in, or what the scale shows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from floorboard.shop.quantities import Mass
from floorboard.shop.units import show_grams

if TYPE_CHECKING:
    from floorboard.mixing.making import Making
    from floorboard.shop.shop import Shop

OUNCE_GRAMS = float(Mass.factors["oz"])
OUNCES_A_POUND = 16
LONGEST = 9


@dataclass(frozen=True, slots=True)
class TypedWeight:
    """Grams that went in, and how the digits were read."""

    grams: float
    words: str


def typed_number(text: str, units: str) -> float | None:
    """Return digits as grams: "412.5", or where the shop reads pounds "2 3.1" for 2 lb 3.1 oz."""
    try:
        numbers = [float(word) for word in text.split()]
    except ValueError:
        return None
    if units == "metric":
        return numbers[0] if len(numbers) == 1 else None
    if len(numbers) == 1:
        return numbers[0] * OUNCE_GRAMS
    if len(numbers) == 2:
        return (numbers[0] * OUNCES_A_POUND + numbers[1]) * OUNCE_GRAMS
    return None


def typed_weight(shop: Shop, making: Making, text: str) -> TypedWeight | None:
    """Read digits as what went in, or as the scale's reading, whichever is nearer its target.

    None if they are no number.
    """
    number = typed_number(text, shop.shop.units)
    state = making.next_addition
    if number is None or state is None:
        return None
    there = making.reading_grams
    as_weight = abs(number - state.more_grams)
    as_reading = abs(number - there - state.more_grams)
    if number >= there > 0 and as_reading < as_weight:
        grams = round(number - there, 6)
        shown = show_grams(shop, number)
        return TypedWeight(
            grams, f"scale at {shown}: {show_grams(shop, grams)} of {state.addition.name}"
        )
    return TypedWeight(number, f"{show_grams(shop, number)} of {state.addition.name}")
