"""The shop as it is planned: its own definitions, with the times learned from the log in them.

Castings already begun keep their build; only what is planned from here on takes these times.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.shop.quantities import Duration

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from floorboard.records.times_model import TimeLine
    from floorboard.shop.mixes import Mix
    from floorboard.shop.pieces import Piece
    from floorboard.shop.shop import Shop

# Weighing is never planned as no time at all.
LEAST_WEIGHING_SECONDS = 10.0


def with_times(shop: Shop, lines: Iterable[TimeLine]) -> Shop:
    """Return the shop with the planned times of the lines that use learned ones."""
    seconds = {line.task: 60 * line.planned_minutes for line in lines if line.uses == "learned"}
    if not seconds:
        return shop
    pieces = {key: _piece(key, piece, seconds) for key, piece in shop.pieces.items()}
    mixes = {key: _mix(key, mix, seconds) for key, mix in shop.mixes.items()}
    return shop.model_copy(update={"pieces": pieces, "mixes": mixes})


def _piece(key: str, piece: Piece, seconds: Mapping[str, float]) -> Piece:
    layers = tuple(
        layer.model_copy(update=_changed("apply", seconds.get(f"layer {key} {place}")))
        for place, layer in enumerate(piece.layers, start=1)
    )
    route = tuple(
        step.model_copy(update=_changed("takes", seconds.get(f"step {key} {place}")))
        for place, step in enumerate(piece.route, start=1)
    )
    update: dict[str, object] = {"layers": layers, "route": route}
    update |= _changed("ready", seconds.get(f"ready {key}"))
    update |= _changed("demold", seconds.get(f"demold {key}"))
    return piece.model_copy(update=update)


def _changed(field: str, seconds: float | None) -> dict[str, object]:
    return {} if seconds is None else {field: Duration(round(seconds, 3))}


def _mix(key: str, mix: Mix, seconds: Mapping[str, float]) -> Mix:
    """How long a mix is stirred belongs to the mix; what was learned goes into the weighing."""
    learned = seconds.get(f"batch {key}")
    if learned is None:
        return mix
    weigh = max(LEAST_WEIGHING_SECONDS, float(mix.weigh) + learned - mix.making_seconds)
    return mix.model_copy(update=_changed("weigh", weigh))
