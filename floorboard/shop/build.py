"""A build: a piece together with the mixes it calls for, as they stood at one moment.

A casting keeps the build it was begun with, so a definition changed later does not
rewrite what is already in a mold.
"""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING

from floorboard.shop.base import Definition, Id
from floorboard.shop.materials import Material
from floorboard.shop.mixes import Mix
from floorboard.shop.pieces import Piece

if TYPE_CHECKING:
    from floorboard.shop.shop import Shop


class Build(Definition):
    """How one casting is made: fixed when the casting is begun."""

    piece_id: Id
    piece: Piece
    mixes: dict[Id, Mix]
    materials: dict[Id, Material]

    def mix_of_layer(self, layer: int) -> Mix:
        """Return the mix of a layer, counted from 0."""
        return self.mixes[self.piece.layers[layer].mix]

    def digest(self) -> str:
        """Return the name under which the store keeps this build: 16 hex digits of its SHA-256."""
        return hashlib.sha256(self.model_dump_json().encode()).hexdigest()[:16]


def build_of(shop: Shop, piece_id: str) -> Build:
    """Return the build a casting of this piece would be begun with now."""
    piece = shop.pieces[piece_id]
    mixes = {layer.mix: shop.mixes[layer.mix] for layer in piece.layers}
    wanted = {part.material for mix in mixes.values() for part in mix.parts}
    wanted |= {additive.material for mix in mixes.values() for additive in mix.additives}
    wanted |= {material for step in piece.route for material in step.uses}
    return Build(
        piece_id=piece_id,
        piece=piece,
        mixes=mixes,
        materials={key: shop.materials[key] for key in sorted(wanted)},
    )
