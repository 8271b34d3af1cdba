"""How much mix a layer takes, and what that amount makes of its thickness.

Grams here are mixed mass as applied: all parts and all additives together.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from floorboard.mixing.refusal import refuse

if TYPE_CHECKING:
    from collections.abc import Sequence

    from floorboard.shop.mixes import Mix
    from floorboard.shop.pieces import Layer

MM3_PER_ML = 1000.0


def layer_grams(layer: Layer, mix: Mix) -> float:
    """Grams of mix one layer takes: its amount, or thickness x area x set density.

    Raises
    ------
    MixingError
        If the layer is given by thickness and the mix has no set density, or it comes to nothing.
    """
    if layer.amount is not None:
        grams = float(layer.amount)
    elif layer.thickness is not None and layer.area is not None:
        if mix.set_density is None:
            raise refuse(
                "set_density",
                f"found none on the mix {mix.name!r}, expected one such as '1.85 g/ml', "
                "because a layer is given by its thickness and area",
            )
        grams = coverage_grams(layer.thickness, layer.area, mix.set_density)
    else:
        raise refuse("amount", "found neither an amount nor thickness and area")
    if grams <= 0:
        raise refuse("amount", f"found a layer of {grams:g} g, expected more than nothing")
    return grams


def coverage_grams(thickness_mm: float, area_mm2: float, density_g_per_ml: float) -> float:
    """Grams that cover an area at a thickness: w = t A d (mm, mm2, g/ml)."""
    return thickness_mm * area_mm2 / MM3_PER_ML * density_g_per_ml


def thickness_mm(grams: float, area_mm2: float, density_g_per_ml: float) -> float:
    """Thickness in mm of a layer of so many grams over an area (mm2) at a set density (g/ml).

    With the area in cm2 this is 10 w / (d A).
    """
    if area_mm2 <= 0:
        raise refuse("area", f"found {area_mm2:g} mm2, expected more than nothing")
    if density_g_per_ml <= 0:
        raise refuse("set_density", f"found {density_g_per_ml:g} g/ml, expected more than nothing")
    return grams * MM3_PER_ML / (area_mm2 * density_g_per_ml)


def made_grams(mix: Mix, wanted_grams: float) -> float:
    """Grams to make so that `wanted_grams` can be applied: the wanted, and what stays behind.

    The bucket keeps `loss.each` and `loss.share` of what is made:
    made = (wanted + each) / (1 - share). A mix's share is always less than all of it.
    """
    if not math.isfinite(wanted_grams) or wanted_grams <= 0:
        raise refuse("wanted", f"found {wanted_grams:g} g, expected an amount above nothing")
    return (wanted_grams + mix.loss.each) / (1.0 - mix.loss.share / 100.0)


def usable_grams(mix: Mix, made: float) -> float:
    """Grams of a made batch that can be applied; never below nothing."""
    return max(0.0, made * (1.0 - mix.loss.share / 100.0) - mix.loss.each)


def grams_from_casting(
    nominal_grams: Sequence[float], casting_grams: float, expected_grams: float | None = None
) -> tuple[float, ...]:
    """Layer amounts in grams that would weigh like the last good casting.

    Parameters
    ----------
    nominal_grams : what each layer is defined to take, in layer order.
    casting_grams : what the last good casting weighed.
    expected_grams : what a casting of the nominal amounts weighs at the same moment: give the
        piece's dry weight when a dry casting was weighed. The sum of the layers by default,
        which fits a casting weighed at demold.

    Every layer keeps its share of the whole.
    """
    expected = sum(nominal_grams) if expected_grams is None else expected_grams
    if casting_grams <= 0 or expected <= 0:
        raise refuse(
            "casting weight",
            f"found {casting_grams:g} g against an expected {expected:g} g, "
            "expected both above nothing",
        )
    return tuple(grams * casting_grams / expected for grams in nominal_grams)
