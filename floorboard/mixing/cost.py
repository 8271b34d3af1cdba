"""What a layer, a casting, a piece and an order cost in materials and hands, and scrap by reason.

Money is in the shop's currency. Materials that have no price are named, never taken for free
without saying so.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Self

from floorboard.mixing.amounts import layer_grams
from floorboard.mixing.batch import batch_for
from floorboard.mixing.contents import WATER, contents
from floorboard.mixing.refusal import refuse
from floorboard.shop.base import Definition

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from floorboard.shop.build import Build
    from floorboard.shop.materials import Material

SECONDS_AN_HOUR = 3600.0


class Cost(Definition):
    """Money for materials and for hands; `unpriced` names the materials left out of it."""

    materials: float = 0.0
    hands: float = 0.0
    unpriced: tuple[str, ...] = ()

    @property
    def total(self) -> float:
        """Materials and hands together."""
        return self.materials + self.hands

    def __add__(self, other: Cost) -> Cost:
        return cost_of((self, other))

    def times(self, factor: float) -> Self:
        """Return this cost so many times over."""
        return self.model_copy(
            update={"materials": self.materials * factor, "hands": self.hands * factor}
        )


def cost_of(costs: Iterable[Cost]) -> Cost:
    """Add costs up."""
    every = list(costs)
    return Cost(
        materials=math.fsum(one.materials for one in every),
        hands=math.fsum(one.hands for one in every),
        unpriced=tuple(dict.fromkeys(name for one in every for name in one.unpriced)),
    )


def materials_cost(
    grams: Mapping[str, float],
    materials: Mapping[str, Material],
    lot_prices: Mapping[str, float] | None = None,
) -> Cost:
    """Cost of weights by material.

    A stock solution without a price of its own costs what is dissolved in it; water that is no
    material of the shop costs nothing.

    Parameters
    ----------
    lot_prices : money a gram by material where the lots drawn from had a price; it comes before
        the material's own.
    """
    prices = lot_prices or {}
    money, unpriced = 0.0, []
    for material, weight in grams.items():
        for name, part in _priced_as(material, weight, materials, prices).items():
            price = _price(name, materials, prices)
            if price is not None:
                money += part * price
            elif name != WATER or name in materials:
                unpriced.append(name)
    return Cost(materials=money, unpriced=tuple(dict.fromkeys(unpriced)))


def hands_cost(seconds: float, hourly: float) -> Cost:
    """Cost of hands-on seconds at a rate an hour."""
    return Cost(hands=seconds / SECONDS_AN_HOUR * hourly)


def share_of_batch(batch_cost: Cost, served_grams: float, all_served_grams: float) -> Cost:
    """What one layer bears of its batch, what stayed in the bucket included."""
    if not 0 <= served_grams <= all_served_grams * (1 + 1e-9) or all_served_grams <= 0:
        raise refuse(
            "grams", f"found {served_grams:g} g of a batch that served {all_served_grams:g} g"
        )
    return batch_cost.times(served_grams / all_served_grams)


class CastingCost(Definition):
    """A casting made as its build says, layer by layer and step by step, mixed by itself."""

    layers: tuple[Cost, ...]
    handling: Cost
    steps: tuple[Cost, ...]

    @property
    def whole(self) -> Cost:
        """Everything together."""
        return cost_of((*self.layers, self.handling, *self.steps))


def casting_cost(
    build: Build, hourly: float, lot_prices: Mapping[str, float] | None = None
) -> CastingCost:
    """Work out what a casting costs by its definitions.

    Every layer has a batch of its own with its allowance, so sharing batches costs less than
    this. Handling is readying the mold and demolding. Passive steps hold no hands.
    """
    layers = []
    for index, layer in enumerate(build.piece.layers):
        mix = build.mix_of_layer(index)
        batch = batch_for(mix, build.materials, layer_grams(layer, mix), resolution_grams=1e-6)
        grams = {one.material: 0.0 for one in batch.additions}
        for one in batch.additions:
            grams[one.material] += one.exact_grams
        layers.append(
            materials_cost(grams, build.materials, lot_prices)
            + hands_cost(mix.making_seconds + layer.apply, hourly)
        )
    steps = tuple(
        materials_cost({key: float(mass) for key, mass in step.uses.items()}, build.materials)
        + hands_cost(0.0 if step.passive else float(step.takes), hourly)
        for step in build.piece.route
    )
    return CastingCost(
        layers=tuple(layers),
        handling=hands_cost(build.piece.ready + build.piece.demold, hourly),
        steps=steps,
    )


def piece_cost(castings: Iterable[Cost], good: int) -> Cost:
    """Cost of one good casting: everything spent, rejects included, over the good ones.

    Raises
    ------
    MixingError
        If there is no good casting to bear it.
    """
    if good < 1:
        raise refuse("good", f"found {good} good castings, expected at least one to bear the cost")
    return cost_of(castings).times(1 / good)


def order_cost(one: Cost, quantity: int, scrap_share: float = 0.0) -> Cost:
    """Cost of an order: so many good castings, with a share (0 to below 1) of all scrapped."""
    if not 0 <= scrap_share < 1:
        raise refuse("scrap", f"found a scrap share of {scrap_share:g}, expected 0 to below 1")
    return one.times(quantity / (1 - scrap_share))


class ScrapLine(Definition):
    """What was scrapped for one reason: how many castings, and what they had cost so far."""

    reason: str
    castings: int
    cost: Cost


def scrap_by_reason(rejects: Iterable[tuple[str, Cost]]) -> tuple[ScrapLine, ...]:
    """Add up (reason, cost so far) of rejected castings, dearest reason first."""
    by_reason: dict[str, list[Cost]] = {}
    for reason, cost in rejects:
        by_reason.setdefault(reason, []).append(cost)
    lines = [
        ScrapLine(reason=reason, castings=len(costs), cost=cost_of(costs))
        for reason, costs in by_reason.items()
    ]
    return tuple(sorted(lines, key=lambda line: (-line.cost.total, line.reason)))


def _price(
    name: str, materials: Mapping[str, Material], prices: Mapping[str, float]
) -> float | None:
    if name in prices:
        return prices[name]
    material = materials.get(name)
    return None if material is None or material.price is None else float(material.price)


def _priced_as(
    material: str, grams: float, materials: Mapping[str, Material], prices: Mapping[str, float]
) -> dict[str, float]:
    if _price(material, materials, prices) is not None:
        return {material: grams}
    return contents(material, grams, materials)
