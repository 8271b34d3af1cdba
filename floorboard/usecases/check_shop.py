"""Whether a shop's mixes can be weighed: what its file alone does not show."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING

from floorboard.mixing.amounts import layer_grams
from floorboard.mixing.proportions import mix_findings
from floorboard.mixing.refusal import MixingError
from floorboard.mixing.ticket import Serving, stage_findings, ticket_for
from floorboard.shop.errors import Problem, ShopFileError, field_text
from floorboard.shop.file import read_shop_file
from floorboard.shop.findings import SoundParts
from floorboard.shop.shop import Shop
from floorboard.shop.toml_lines import LineMap
from floorboard.shop.toml_text import LARGEST_BYTES, read_around, trap_in

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from pathlib import Path

Place = tuple[str | int, ...]
Said = tuple[Place, str]


def read_checked_shop(path: Path) -> Shop:
    """Return the shop a file describes, each of its layers sure to have a ticket.

    Raises
    ------
    ShopFileError
        With all mistakes at once, in the order of their lines.
    """
    try:
        shop = read_shop_file(path)
    except ShopFileError as error:
        raise ShopFileError(_in_order([*error.problems, *_besides(path, error)])) from None
    said = list(ticket_mistakes(shop))
    if not said:
        return shop
    raise ShopFileError(_in_order(_problems(path, _text(path), said)))


def _besides(path: Path, error: ShopFileError) -> list[Problem]:
    """Return what keeps the sound mixes and pieces of a wrong file from having tickets.

    Nothing is said a second time of a mix or piece in which there is a mistake already.
    """
    try:
        text = _text(path)
    except (OSError, UnicodeDecodeError):
        return []
    if len(text) > LARGEST_BYTES or trap_in(text):
        return []
    reading = read_around(text)
    damaged = Shop.model_fields if reading.lost_header else reading.damaged_sections
    sound = SoundParts.of_data(reading.data, frozenset(damaged))
    told = {".".join(re.split(r"[.\[]", one.field)[:2]) for one in error.problems}
    mixes = {
        key: mix
        for key, mix in sound.mixes.items()
        if {*(p.material for p in mix.parts), *(a.material for a in mix.additives)}
        <= sound.materials.keys()
    }
    said = ticket_mistakes(replace(sound, mixes=mixes))
    return _problems(
        path, text, [one for one in said if ".".join(map(str, one[0][:2])) not in told]
    )


def _text(path: Path) -> str:
    return path.read_text(encoding="utf-8").removeprefix("\ufeff")


def _problems(path: Path, text: str, said: Iterable[Said]) -> list[Problem]:
    lines = LineMap(text)
    return [
        Problem(
            path.name, lines.line(place), field_text(place), sentence.removeprefix("found "), ""
        )
        for place, sentence in said
    ]


def _in_order(problems: Iterable[Problem]) -> list[Problem]:
    return sorted(problems, key=lambda problem: problem.line)


def ticket_mistakes(shop: Shop | SoundParts) -> Iterator[Said]:
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


def _layer_mistakes(shop: Shop | SoundParts, piece: str, index: int) -> Iterator[Said]:
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
