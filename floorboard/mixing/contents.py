"""What a weighed material really delivers: a stock solution is some active material and water."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.mixing.refusal import refuse

if TYPE_CHECKING:
    from collections.abc import Mapping

    from floorboard.shop.materials import Material

WATER = "water"


def contents(material: str, grams: float, materials: Mapping[str, Material]) -> dict[str, float]:
    """Grams of each active material, and of `water`, in so many grams of a material.

    A material that is no stock solution contains itself. A solution of a solution is followed
    down. The values sum to `grams`.

    Raises
    ------
    MixingError
        If solutions are made of one another in a circle, or of nothing at all.
    """
    found: dict[str, float] = {}
    _collect(material, grams, materials, found, ())
    return found


def _collect(
    material: str,
    grams: float,
    materials: Mapping[str, Material],
    found: dict[str, float],
    open_: tuple[str, ...],
) -> None:
    known = materials.get(material)
    solution = known.solution if known is not None else None
    if solution is None:
        found[material] = found.get(material, 0.0) + grams
        return
    if material in open_:
        raise refuse(
            f"materials.{material}.solution.active",
            f"found stock solutions made in a circle, {' of '.join((*open_, material))}",
        )
    whole = float(solution.amount) + float(solution.water)
    if whole <= 0:
        raise refuse(
            f"materials.{material}.solution",
            "found 0 g in 0 g of water, expected something dissolved in some water",
        )
    found[WATER] = found.get(WATER, 0.0) + grams * solution.water / whole
    _collect(solution.active, grams * solution.amount / whole, materials, found, (*open_, material))
