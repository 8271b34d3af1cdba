"""Which castings get labels, and what the labels say."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from floorboard.shop.calendar import day_bounds
from floorboard.shop.errors import FloorboardError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from floorboard.floor.casting import Casting
    from floorboard.shop.shop import Shop
    from floorboard.usecases.history_port import History


class NoSuchCasting(FloorboardError):
    """The log has no casting of that number."""


@dataclass(frozen=True, slots=True)
class LabelWords:
    """A label's serial number, the piece's name and the lines beneath."""

    serial: str
    piece: str
    lines: tuple[str, ...]


def label_words(
    history: History,
    shop: Shop,
    now: dt.datetime,
    serials: Sequence[str] = (),
    day: dt.date | None = None,
) -> list[LabelWords]:
    """Return the labels of the named castings; else of those demolded on a day; else of all open.

    Raises
    ------
    NoSuchCasting
        If one of the names is of no casting.
    """
    if not serials:
        serials = _demolded_on(history, shop, day) if day is not None else _open(history, now)
    found = history.castings_now(serials)
    missing = [serial for serial in serials if serial not in found]
    if missing:
        raise NoSuchCasting(f"The log has no casting {', '.join(missing)}. Check the number.")
    return [_words(found[serial], shop) for serial in serials]


def _demolded_on(history: History, shop: Shop, day: dt.date) -> list[str]:
    start, end = day_bounds(day, shop.shop.zone)[1:]
    return [
        row.serial
        for row in history.castings(start, end)
        if row.rejected_at is None and row.demolded_at and start <= row.demolded_at < end
    ]


def _open(history: History, now: dt.datetime) -> list[str]:
    later = now + dt.timedelta(days=1)
    rows = history.castings(later, later)
    return [row.serial for row in rows if row.finished_at is None and row.rejected_at is None]


def _words(casting: Casting, shop: Shop) -> LabelWords:
    zone = ZoneInfo(shop.shop.zone)
    mold = shop.molds.get(casting.mold)
    number = mold.number if mold is not None else casting.mold
    lines = [f"mold {number}, begun {casting.begun_at.astimezone(zone):%Y-%m-%d}"]
    if casting.order is not None:
        order = shop.orders.get(casting.order)
        name = order.name if order is not None else None
        lines.append(f"for {name or casting.order}")
    piece = shop.pieces.get(casting.piece_id, casting.build.piece)
    return LabelWords(casting.serial, piece.name, tuple(lines))
