"""Weights in words, as fine as the scale shows them: grams, or pounds and ounces."""

from __future__ import annotations

import math
import re
from typing import Literal

from floorboard.shop.quantities import Mass

Units = Literal["metric", "us"]
FINEST_DECIMALS = 3
OUNCE_GRAMS = float(Mass.factors["oz"])
OUNCES_A_POUND = 16
_GRAMS = re.compile(r"(?<![\w.])(\d+(?: \d{3})*(?:\.\d+)?(?:e[+-]?\d+)?) g\b(?!/)")


def weight_text(grams: float, resolution_grams: float = 1.0, units: Units = "metric") -> str:
    """Write a weight with as many decimals as the scale's resolution calls for.

    "123 g"; in US units "14.5 oz", and from a pound up "1 lb 4.5 oz".
    """
    if units == "metric":
        return f"{_plain(grams, resolution_grams)} g"
    ounces = resolution_grams / OUNCE_GRAMS
    shown = abs(float(_plain(grams / OUNCE_GRAMS, ounces)))
    sign = "-" if grams < 0 and shown else ""
    if shown < OUNCES_A_POUND:
        return f"{sign}{_plain(shown, ounces)} oz"
    pounds = int(shown // OUNCES_A_POUND)
    return f"{sign}{pounds} lb {_plain(shown - pounds * OUNCES_A_POUND, ounces)} oz"


def in_units(sentence: str, units: Units, resolution_grams: float = 1.0) -> str:
    """Return a sentence with its weights in the units the shop reads, a digit finer than its scale.

    Sentences are made in grams: "8.749 g" becomes "0.31 oz".
    """
    if units == "metric":
        return sentence
    return _GRAMS.sub(
        lambda found: weight_text(float(found[1].replace(" ", "")), resolution_grams / 10, units),
        sentence,
    )


def _plain(value: float, resolution: float) -> str:
    text = f"{value:.{_decimals(resolution)}f}"
    return text.lstrip("-") if not float(text) else text


def _decimals(resolution: float) -> int:
    """Decimals that show every division of the scale, or else tell any two of them apart."""
    for decimals in range(FINEST_DECIMALS):
        divisions = resolution * 10**decimals
        if divisions > 1 - 1e-6 and abs(divisions - round(divisions)) < 1e-6:
            return decimals
    return min(FINEST_DECIMALS, max(0, math.ceil(-math.log10(resolution))))
