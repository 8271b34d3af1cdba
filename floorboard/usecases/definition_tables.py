"""The shop's definitions as plain tables, to go with its history."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.floor.history_rows import PlainTable
from floorboard.shop.calendar import due_utc

if TYPE_CHECKING:
    from collections.abc import Iterator

    from floorboard.shop.shop import Shop


def definition_tables(shop: Shop, site: str) -> Iterator[PlainTable]:
    """Yield people, pieces, layers, steps, molds, materials and orders as the shop now has them."""
    yield PlainTable(
        "people",
        (("site", "text"), ("person", "text"), ("name", "text"), ("hourly", "real")),
        [(site, key, person.name, float(person.hourly)) for key, person in shop.people.items()],
    )
    yield PlainTable(
        "pieces",
        (("site", "text"), ("piece", "text"), ("name", "text"), ("worth", "real")),
        [(site, key, piece.name, float(piece.worth)) for key, piece in shop.pieces.items()],
    )
    yield PlainTable(
        "steps",
        (
            ("site", "text"), ("piece", "text"), ("number", "integer"), ("kind", "text"),
            ("name", "text"), ("seconds", "real"), ("passive", "integer"),
        ),
        [
            (site, key, n, step.kind, step.name, float(step.takes), int(step.passive))
            for key, piece in shop.pieces.items()
            for n, step in enumerate(piece.route, start=1)
        ],
    )  # fmt: skip
    yield PlainTable(
        "layers",
        (
            ("site", "text"), ("piece", "text"), ("number", "integer"), ("name", "text"),
            ("mix", "text"), ("seconds", "real"), ("partial_cure_seconds", "real"),
            ("recoat_by_seconds", "real"),
        ),
        [
            (
                site, key, n, layer.name, layer.mix, float(layer.apply), float(layer.partial_cure),
                None if layer.recoat_by is None else float(layer.recoat_by),
            )
            for key, piece in shop.pieces.items()
            for n, layer in enumerate(piece.layers, start=1)
        ],
    )  # fmt: skip
    yield PlainTable(
        "molds",
        (
            ("site", "text"), ("mold", "text"), ("number", "integer"), ("piece", "text"),
            ("name", "text"), ("pulls_before", "integer"), ("retire_at", "integer"),
        ),
        [
            (site, key, mold.number, mold.piece, mold.name, mold.pulls, mold.retire_at)
            for key, mold in shop.molds.items()
        ],
    )  # fmt: skip
    yield PlainTable(
        "materials",
        (
            ("site", "text"), ("material", "text"), ("name", "text"), ("form", "text"),
            ("price_a_gram", "real"),
        ),
        [
            (
                site, key, material.name, material.form,
                None if material.price is None else float(material.price),
            )
            for key, material in shop.materials.items()
        ],
    )  # fmt: skip
    yield PlainTable(
        "orders",
        (
            ("site", "text"), ("order_id", "text"), ("name", "text"), ("piece", "text"),
            ("quantity", "integer"), ("due", "moment"),
        ),
        [
            (
                site, key, order.name, order.piece, order.quantity,
                due_utc(order, shop.shop.zone).isoformat(timespec="microseconds"),
            )
            for key, order in shop.orders.items()
        ],
    )  # fmt: skip
