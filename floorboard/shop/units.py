"""Quantities as the shop likes to read them: metric or US, to the scale's resolution."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from floorboard.shop.shop import Shop

GRAMS_PER_OUNCE = 28.349523125  # NIST SP 811, Appendix B: exact
GRAMS_PER_POUND = 453.59237  # NIST SP 811, Appendix B: exact
MM_PER_INCH = 25.4  # NIST SP 811, Appendix B: exact


def decimals_of(resolution: float) -> int:
    """Return how many decimals a scale of this resolution shows, at most 3."""
    if resolution <= 0 or resolution >= 1:
        return 0
    return min(3, math.ceil(-math.log10(resolution) - 1e-9))


def show_grams(shop: Shop, grams: float) -> str:
    """Return a weight as the shop's scale shows it: "420 g", or "14.8 oz" and "2 lb 3.1 oz"."""
    if shop.shop.units == "metric":
        return f"{grams:,.{decimals_of(float(shop.shop.scale_resolution))}f} g".replace(",", " ")
    ounces = grams / GRAMS_PER_OUNCE
    resolution = float(shop.shop.scale_resolution) / GRAMS_PER_OUNCE
    decimals = max(1, decimals_of(resolution))
    pounds = math.floor(round(ounces, decimals) / 16)
    if pounds < 2:
        return f"{ounces:.{decimals}f} oz"
    return f"{pounds} lb {ounces - 16 * pounds:.{decimals}f} oz"


def show_mm(shop: Shop, millimetres: float) -> str:
    """Return a thickness: "9.5 mm" or "0.375 in"."""
    if shop.shop.units == "metric":
        return f"{millimetres:.1f} mm"
    return f"{millimetres / MM_PER_INCH:.3f} in"
