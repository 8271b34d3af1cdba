"""A supposition about a shop: other numbers of molds and people, other accelerator, other buckets."""

from __future__ import annotations

from itertools import cycle
from typing import TYPE_CHECKING, Annotated

from pydantic import Field

from floorboard.mixing.working_time import cure_factor, working_time
from floorboard.planning.plan import PlanValue
from floorboard.shop.mixes import Mix, WorkingTimeTable
from floorboard.shop.quantities import Duration, Mass, Percent

if TYPE_CHECKING:
    from floorboard.shop.mixes import Additive
    from floorboard.shop.pieces import Layer, Piece
    from floorboard.shop.shop import Mold, Person, Shop


class Scenario(PlanValue):
    """What is supposed; what is None stays as the shop has it."""

    name: str
    molds: Annotated[int, Field(ge=1, le=1000)] | None = Field(
        default=None, description="molds in all: the first by number, or more of the same pieces"
    )
    people: Annotated[int, Field(ge=1, le=100)] | None = Field(
        default=None, description="people in all: the first listed, or more like them"
    )
    accelerator_percent: Annotated[float, Field(ge=0, le=100)] | None = Field(
        default=None, description="of each mix with a table of working time, on its own base"
    )
    largest_batch_grams: Annotated[float, Field(gt=0, le=1e6)] | None = Field(
        default=None, description="what the bucket of every mix holds"
    )


def supposed(shop: Shop, scenario: Scenario) -> Shop:
    """Return the shop as a scenario supposes it, without orders: whatever can be cast counts."""
    changes: dict[str, object] = {"orders": {}}
    if scenario.molds is not None:
        changes["molds"] = _molds(shop, scenario.molds)
    if scenario.people is not None:
        changes["people"] = _people(shop, scenario.people)
    mixes, factors = dict(shop.mixes), dict.fromkeys(shop.mixes, 1.0)
    for key, mix in shop.mixes.items():
        if scenario.accelerator_percent is not None:
            mix, factors[key] = _accelerated(mix, scenario.accelerator_percent)
        if scenario.largest_batch_grams is not None:
            mix = mix.model_copy(update={"largest_batch": Mass(scenario.largest_batch_grams)})
        mixes[key] = mix
    changes["mixes"] = mixes
    changes["pieces"] = {key: _cured(piece, factors) for key, piece in shop.pieces.items()}
    return shop.model_copy(update=changes)


def _molds(shop: Shop, wanted: int) -> dict[str, Mold]:
    """Return so many molds, all in service and none about to be retired."""
    mine = sorted(shop.molds.items(), key=lambda item: item[1].number)
    fresh = {"in_service": True, "retire_at": None}
    found = {key: mold.model_copy(update=fresh) for key, mold in mine[:wanted]}
    number = max((mold.number for mold in shop.molds.values()), default=0)
    for key, mold in cycle(mine):
        if len(found) >= wanted:
            break
        number += 1
        found[f"{key[:30]}-x{number}"] = mold.model_copy(update={**fresh, "number": number})
    return found


def _people(shop: Shop, wanted: int) -> dict[str, Person]:
    mine = list(shop.people.items())
    found = dict(mine[:wanted])
    for key, person in cycle(mine):
        if len(found) >= wanted:
            break
        found[f"{key[:30]}-x{len(found) + 1}"] = person
    return found


def _accelerated(mix: Mix, percent: float) -> tuple[Mix, float]:
    """Return a mix with so much of its table's additive, and the factor of its cures."""
    if not isinstance(mix.working_time, WorkingTimeTable):
        return mix, 1.0
    name = mix.working_time.additive
    changed = {
        "working_time": Duration(working_time(mix, percent).seconds),
        "additives": tuple(_with(additive, name, percent) for additive in mix.additives),
    }
    return mix.model_copy(update=changed), cure_factor(mix, percent)


def _with(additive: Additive, name: str, percent: float) -> Additive:
    if additive.material != name:
        return additive
    return additive.model_copy(update={"percent": Percent(percent)})


def _cured(piece: Piece, factors: dict[str, float]) -> Piece:
    """Return a piece whose waits are those of its mixes as supposed."""
    if all(factors[layer.mix] == 1.0 for layer in piece.layers):
        return piece
    layers = tuple(_layer(layer, factors[layer.mix]) for layer in piece.layers)
    full = Duration(float(piece.full_cure) * factors[piece.layers[-1].mix])
    return piece.model_copy(update={"layers": layers, "full_cure": full})


def _layer(layer: Layer, factor: float) -> Layer:
    by = layer.recoat_by
    return layer.model_copy(
        update={
            "partial_cure": Duration(float(layer.partial_cure) * factor),
            "recoat_by": None if by is None else Duration(float(by) * factor),
        }
    )
