"""From what is on hand to how many layers it makes."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from floorboard.mixing.amounts import made_grams, usable_grams
from floorboard.mixing.batch import share_of
from floorboard.mixing.refusal import refuse
from floorboard.shop.base import Definition

if TYPE_CHECKING:
    from collections.abc import Mapping

    from floorboard.shop.materials import Material
    from floorboard.shop.mixes import Mix

ROUNDING = 1e-9


class LayersFrom(Definition):
    """How many layers, in `full_batches` of `layers_a_batch` and one last of `layers_last`.

    `runs_out` is the material that ends first; weights in grams by material.
    """

    layers: int
    full_batches: int
    layers_a_batch: int
    layers_last: int
    runs_out: str
    used_grams: dict[str, float]
    left_grams: dict[str, float]


def layers_from(
    mix: Mix,
    materials: Mapping[str, Material],
    on_hand: Mapping[str, float],
    layer_grams: float,
    percents: Mapping[str, float] | None = None,
) -> LayersFrom:
    """Count the whole layers that the materials on hand make.

    Full batches come first: every batch leaves something in its bucket, so fewest batches
    make most layers.

    Parameters
    ----------
    on_hand : grams by material; materials not named are taken to be plenty.
    layer_grams : mixed mass of one layer as applied.

    Raises
    ------
    MixingError
        If a material is not in the mix, nothing is asked, or one layer overfills the bucket.
    """
    if not on_hand:
        raise refuse("on_hand", "found no material, expected at least one with its grams")
    shares = {name: share_of(mix, materials, name, percents) for name in on_hand}
    for name, grams in on_hand.items():
        if not 0 <= grams < float("inf"):
            raise refuse(name, f"found {grams:g} g on hand, expected nothing or more")
    one = made_grams(mix, layer_grams)
    a_batch = math.floor(usable_grams(mix, mix.largest_batch) / layer_grams + ROUNDING)
    if a_batch < 1:
        raise refuse(
            "largest_batch",
            f"found a layer of {layer_grams:.6g} g that takes a batch of {one:.6g} g, expected "
            f"at most the {mix.largest_batch:.6g} g the bucket holds",
        )
    runs_out = min(on_hand, key=lambda name: on_hand[name] / shares[name])
    possible = on_hand[runs_out] / shares[runs_out]
    full = made_grams(mix, a_batch * layer_grams)
    batches = math.floor(possible / full + ROUNDING)
    rest = max(0.0, possible - batches * full)
    last = min(a_batch, math.floor(usable_grams(mix, rest) / layer_grams + ROUNDING))
    made = batches * full + (made_grams(mix, last * layer_grams) if last else 0.0)
    used = {name: made * share for name, share in shares.items()}
    return LayersFrom(
        layers=batches * a_batch + last,
        full_batches=batches,
        layers_a_batch=a_batch,
        layers_last=last,
        runs_out=runs_out,
        used_grams=used,
        left_grams={name: max(0.0, grams - used[name]) for name, grams in on_hand.items()},
    )
