"""Whether the air allows coating: dew point, and the surface's distance from it.

A sealer laid on a surface near the dew point traps moisture and peels. Source of the dew point:
WMO-No. 8, Annex 4.B; of the 3 C: common coating practice, ISO 8502-4 (clause not seen).
"""

import math
from dataclasses import dataclass

from floorboard.shop.checked_numbers import above, at_least, between, finite
from floorboard.shop.physical_constants import physical_constants

# A surface in a workshop outside these is a mistake of the gauge or the key.
_COLDEST_SURFACE_CELSIUS = -40.0
_HOTTEST_SURFACE_CELSIUS = 100.0

VAPOUR_CAUTION = "Mind the vapour: fresh air, and the supplier's safety data sheet."


@dataclass(frozen=True, slots=True)
class CoatingConditions:
    """Dew point and margin in C, whether to wait, and the sentence for the board."""

    dew_point_celsius: float
    margin_celsius: float
    wait: bool
    sentence: str


def vapour_pressure_hpa(celsius: float) -> float:
    """Pressure of water vapour in saturated air, in hPa, from -45 to 60 C."""
    table = physical_constants("dew_point")
    air = between(
        celsius, table["lowest_celsius"], table["highest_celsius"], "Air temperature in C"
    )
    return table["a_hpa"] * math.exp(table["b"] * air / (table["c_celsius"] + air))


def dew_point_celsius(air_celsius: float, humidity_percent: float) -> float:
    """Temperature at which air of this temperature and relative humidity turns to dew.

    Raises
    ------
    ValueError : for air outside -45 to 60 C, or humidity that is not over 0 and up to 100 %.
    """
    humidity = above(humidity_percent, 0, "Relative humidity in percent")
    between(humidity, 0, 100, "Relative humidity in percent")
    table = physical_constants("dew_point")
    pressure = vapour_pressure_hpa(air_celsius) * humidity / 100
    share = math.log(pressure / table["a_hpa"])
    return table["c_celsius"] * share / (table["b"] - share)


def coating_conditions(
    air_celsius: float,
    humidity_percent: float,
    surface_celsius: float,
    *,
    least_margin_celsius: float | None = None,
) -> CoatingConditions:
    """Compare the surface with the dew point and say coat or wait.

    Parameters
    ----------
    surface_celsius : temperature of the casting's surface, from -40 to 100 C.
    least_margin_celsius : distance above the dew point to coat at; the shared table's 3 C
        unless the coating's data sheet asks for more.
    """
    dew_point = dew_point_celsius(air_celsius, humidity_percent)
    surface = between(
        surface_celsius,
        _COLDEST_SURFACE_CELSIUS,
        _HOTTEST_SURFACE_CELSIUS,
        "Surface temperature in C",
    )
    needed = physical_constants("dew_point")["margin_celsius"]
    if least_margin_celsius is not None:
        needed = at_least(finite(least_margin_celsius, "The margin in C"), 0, "The margin in C")
    margin = surface - dew_point
    wait = margin < needed
    return CoatingConditions(
        dew_point, margin, wait, _say(surface, dew_point, margin, needed, wait)
    )


def _say(surface: float, dew_point: float, margin: float, needed: float, wait: bool) -> str:
    side = "above" if margin >= 0 else "below"
    where = (
        f"the surface ({surface:.1f} C) is {abs(margin):.1f} C {side} the dew point "
        f"({dew_point:.1f} C)"
    )
    if wait:
        return f"Wait: {where}; {needed:g} C above is needed. Warm the casting or dry the air."
    return f"Clear of the dew point: {where}. {VAPOUR_CAUTION}"
