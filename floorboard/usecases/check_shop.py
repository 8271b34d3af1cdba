"""Whether a shop's mixes can be weighed: what its file alone does not show."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.mixing.amounts import layer_grams
from floorboard.mixing.proportions import mix_findings
from floorboard.mixing.refusal import MixingError
from floorboard.mixing.ticket import Serving, stage_findings, ticket_for
from floorboard.shop.errors import Problem, ShopFileError, field_text
from floorboard.shop.file import read_shop_file
from floorboard.shop.toml_lines import LineMap

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from floorboard.shop.shop import Shop

Place = tuple[str | int, ...]
Said = tuple[Place, str]


def read_checked_shop(path: Path) -> Shop:
    """Return the shop a file describes, each of its layers sure to have a ticket.

    Raises
    ------
    ShopFileError
        With all mistakes at once, in the order of their lines.
    """
    shop = read_shop_file(path)
    said = list(ticket_mistakes(shop))
    if not said:
        return shop
    lines = LineMap(path.read_text(encoding="utf-8").removeprefix("\ufeff"))
    problems = [
        Problem(
            path.name, lines.line(place), field_text(place), sentence.removeprefix("found "), ""
        )
        for place, sentence in said
    ]
    raise ShopFileError(sorted(problems, key=lambda problem: problem.line))


def ticket_mistakes(shop: Shop) -> Iterator[Said]:
    """Yield, with its place, whatever keeps a mix or a layer from having a ticket."""
    sound = set()
    for key, mix in shop.mixes.items():
        found = [*mix_findings(mix, shop.materials), *stage_findings(mix)]
        for finding in found:
            yield ("mixes", key, *_place(finding.field)), finding.sentence
        if not found:
            sound.add(key)
    for key, piece in shop.pieces.items():
        for index, layer in enumerate(piece.layers):
            if layer.mix in sound:
                yield from _layer_mistakes(shop, key, index)


def _layer_mistakes(shop: Shop, piece: str, index: int) -> Iterator[Said]:
    layer = shop.pieces[piece].layers[index]
    mix = shop.mixes[layer.mix]
    place: Place = ("pieces", piece, "layers", index)
    try:
        serving = Serving(mold="", layer=index, grams=layer_grams(layer, mix))
        ticket_for(layer.mix, mix, shop.materials, [serving])
    except MixingError as refusal:
        for finding in refusal.findings:
            yield place, finding.sentence


def _place(field: str) -> Place:
    return tuple(int(word) if word.isdigit() else word for word in field.split("."))
