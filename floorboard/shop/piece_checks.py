"""Pieces that cannot be cast as they are written, named with the numbers that forbid it."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from floorboard.shop.findings import Finding, Path, SoundParts, duration_text
from floorboard.shop.mixes import Mix, WorkingTimeTable

if TYPE_CHECKING:
    from collections.abc import Iterator

    from floorboard.shop.pieces import Layer, Piece, Step

_MM3_PER_ML = 1000.0


def piece_findings(sound: SoundParts) -> Iterator[Finding]:
    """Yield what keeps pieces from being cast, apart from the hands it takes."""
    for key, piece in sound.pieces.items():
        path: Path = ("pieces", key)
        for index, layer in enumerate(piece.layers):
            if mix := sound.mixes.get(layer.mix):
                place = (*path, "layers", index)
                yield from _amount(place, layer, mix)
                yield from _working_time(place, layer, mix, float(sound.settings.pour_margin))
        if not sound.settings.mix_ahead:
            yield from _window_too_short(path, piece, sound)
        for index, step in enumerate(piece.route):
            yield from _step((*path, "route", index), step)
        yield from _walls(path, piece)


def usual_working_seconds(mix: Mix) -> float | None:
    """Seconds the mix as written can be worked; None outside its table.

    Between the points of a table the time is taken on the straight line: near enough to name a
    piece that cannot be cast.
    """
    if not isinstance(mix.working_time, WorkingTimeTable):
        return float(mix.working_time)
    table = mix.working_time
    percent = sum(float(a.percent) for a in mix.additives if a.material == table.additive)
    for low, high in pairwise(table.points):
        if low.percent <= percent <= high.percent:
            share = (percent - low.percent) / (high.percent - low.percent)
            return float(low.working_time + share * (high.working_time - low.working_time))
    return None


def _amount(path: Path, layer: Layer, mix: Mix) -> Iterator[Finding]:
    if layer.amount is not None:
        grams, field = float(layer.amount), "amount"
    elif layer.thickness is None or layer.area is None:
        return
    elif not mix.set_density:
        yield Finding(
            (*path, "thickness"),
            f"a thickness, but the mix '{layer.mix}' has no set_density",
            f"'set_density' in [mixes.{layer.mix}], such as '1.85 g/ml'",
            "Or give the layer an 'amount'.",
        )
        return
    else:
        grams = layer.thickness * layer.area / _MM3_PER_ML * mix.set_density
        field = "thickness"
    if grams <= 0:
        yield Finding((*path, field), "a layer of nothing", "a layer that weighs something")
        return
    batch = (grams + mix.loss.each) / (1.0 - mix.loss.share / 100.0)
    if batch > mix.largest_batch:
        yield Finding(
            (*path, field),
            f"a layer of {grams:.0f} g, with loss a batch of {batch:.0f} g",
            f"at most {mix.largest_batch.text}, the largest_batch of '{layer.mix}'",
            "Split the layer in two, or give the mix a larger bucket.",
        )


def _working_time(path: Path, layer: Layer, mix: Mix, margin: float) -> Iterator[Finding]:
    working = usual_working_seconds(mix)
    needed = mix.seconds_wet_to_ready + layer.apply
    if working is not None and needed > working - margin:
        yield Finding(
            (*path, "apply"),
            f"{duration_text(needed)} from wetting '{layer.mix}' to the end of the layer "
            f"({duration_text(mix.seconds_wet_to_ready)} to mix, {layer.apply.text} to apply)",
            f"at most {duration_text(max(0.0, working - margin))}: the working time "
            f"{duration_text(working)} less the pour_margin {duration_text(margin)}",
            "Shorten the layer, split it, or slow the mix down.",
        )


def _window_too_short(path: Path, piece: Piece, sound: SoundParts) -> Iterator[Finding]:
    """Without mixing ahead, a batch must be made inside the recoat window."""
    for index, (layer, following) in enumerate(pairwise(piece.layers)):
        mix = sound.mixes.get(following.mix)
        if mix is None or layer.recoat_by is None:
            continue
        window = layer.recoat_by - layer.partial_cure
        if mix.making_seconds > window:
            yield Finding(
                (*path, "layers", index, "recoat_by"),
                f"a recoat window of {duration_text(window)}",
                f"at least {duration_text(mix.making_seconds)}, which making '{following.mix}' "
                "takes, since mix_ahead is false",
                "Set mix_ahead to true, or mend the times.",
            )


def _step(path: Path, step: Step) -> Iterator[Finding]:
    if step.to_constant_weight and step.kind != "dry":
        yield Finding(
            (*path, "to_constant_weight"),
            f"a '{step.kind}' step that weighings end",
            "to_constant_weight on a 'dry' step only",
        )
    if not step.passive:
        return
    if step.each_more:
        yield Finding(
            (*path, "each_more"),
            f"hands-on time for each further casting in a '{step.kind}' step",
            "none: drying and curing take no hands",
            "Make the hands-on part a step of its own.",
        )
    if step.uses:
        yield Finding(
            (*path, "uses"),
            f"material used in a '{step.kind}' step",
            "none: drying and curing take no hands",
            "Name the material in the hands-on step that applies it.",
        )


def _walls(path: Path, piece: Piece) -> Iterator[Finding]:
    if piece.wall is not None and piece.least_wall is not None and piece.least_wall > piece.wall:
        yield Finding(
            (*path, "least_wall"),
            f"a least_wall of {piece.least_wall.text}",
            f"at most {piece.wall.text}, the wall wanted",
        )
