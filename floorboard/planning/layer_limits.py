"""Layers that no batch can serve today: they outlast its working time or do not fit its bucket."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.mixing.amounts import made_grams
from floorboard.planning.day_times import grams_of_layer
from floorboard.planning.plan_rules.breach import span_text
from floorboard.shop.build import build_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from floorboard.planning.day_times import DayTimes
    from floorboard.shop.shop import Shop


def layers_beyond_limits(shop: Shop, key: str, times: DayTimes) -> Iterator[str]:
    """Yield a sentence for each layer of a piece that no batch can serve at the day's times."""
    margin, build = float(shop.shop.pour_margin), build_of(shop, key)
    for index, layer in enumerate(build.piece.layers):
        mix = build.mix_of_layer(index)
        day = times.of(mix)
        needed = day.making - day.before_wet + float(layer.apply)
        if needed > day.working - margin:
            yield (
                f"Layer {index + 1} of '{key}' takes {span_text(needed)} from wetting "
                f"'{layer.mix}' to its end, but today it can be worked only "
                f"{span_text(max(0.0, day.working - margin))}, the margin kept back."
            )
        made = made_grams(mix, grams_of_layer(build, index))
        if made > float(mix.largest_batch) * (1 + 1e-9):
            yield (
                f"Layer {index + 1} of '{key}' takes a batch of {made:.0f} g, but the "
                f"bucket of '{layer.mix}' holds {float(mix.largest_batch):.0f} g."
            )
