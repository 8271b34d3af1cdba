"""Cure clock that runs with temperature: equivalent age.

A cure at 30 C is further on after an hour than one at 20 C. Where a shop has the constants of
its material, an hour at any temperature is turned into hours at the reference temperature.
Without such constants the clock on the wall counts.

Source: the Arrhenius form of ASTM C1074, with K = C + 273.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from floorboard.shop.checked_numbers import above, at_least, between
from floorboard.shop.physical_constants import physical_constants

# Outside these a shop's reading is a mistake of the thermometer or the key.
_COLDEST_CELSIUS = -20.0
_HOTTEST_CELSIUS = 100.0


@dataclass(frozen=True, slots=True)
class CureConstants:
    """Activation temperature Q in kelvin, and the reference temperature in C."""

    activation_kelvin: float
    reference_celsius: float

    def __post_init__(self) -> None:
        above(self.activation_kelvin, 0, "Activation temperature in kelvin")
        _temperature(self.reference_celsius, "Reference temperature in C")


def usual_cure_constants() -> CureConstants:
    """Q 5000 K at 20 C, the values of the shared table of constants."""
    table = physical_constants("maturity")
    return CureConstants(table["activation_kelvin"], table["reference_celsius"])


def age_factor(celsius: float, constants: CureConstants | None = None) -> float:
    """Hours at the reference temperature that one hour at this temperature is worth.

    exp[-Q (1/Ta - 1/Ts)]: 1 at the reference, 0.547 at 10 C and 1.756 at 30 C for the usual
    constants. ``ValueError`` below -20 C or above 100 C.
    """
    known = constants or usual_cure_constants()
    zero = physical_constants("maturity")["celsius_to_kelvin"]
    warmth = 1 / (_temperature(celsius, "Temperature in C") + zero)
    return math.exp(-known.activation_kelvin * (warmth - 1 / (known.reference_celsius + zero)))


def equivalent_age_hours(
    spells: Iterable[tuple[float, float]], constants: CureConstants | None = None
) -> float:
    """Hours at the reference temperature that spells of (hours, C) add up to."""
    return math.fsum(
        at_least(hours, 0, "Length of a spell in hours") * age_factor(celsius, constants)
        for hours, celsius in spells
    )


def _temperature(celsius: float, what: str) -> float:
    return between(celsius, _COLDEST_CELSIUS, _HOTTEST_CELSIUS, what)
