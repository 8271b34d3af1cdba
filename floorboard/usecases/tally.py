"""Take the tally of a stretch of time: read the past, count it."""

from __future__ import annotations

import datetime as dt
import heapq
from dataclasses import replace
from typing import TYPE_CHECKING

from floorboard.floor.history_rows import FinishedRow
from floorboard.records.tally import tally_of
from floorboard.records.tally_past import Past, stand_at, unsure_at

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from floorboard.floor import history_rows as h
    from floorboard.floor.casting import Casting
    from floorboard.records.tally_model import Tally
    from floorboard.records.tally_past import Stretch
    from floorboard.shop.shop import Shop
    from floorboard.usecases.history_port import History

# A task running when the stretch ends is looked for among those ended so soon after it.
_LONGEST_TASK = dt.timedelta(hours=4)
# So many odd entries are told one by one.
MOST_FLAGS = 20


def take_tally(
    history: History, shop: Shop, stretch: Stretch, title: str, order: str | None = None
) -> Tally:
    """Return the tally of a stretch; with an order, of the castings begun for it alone."""
    past = read_past(history, shop, stretch, order)
    if order is not None:
        stretch = replace(
            stretch, start=min((r.begun_at for r in past.castings), default=stretch.now)
        )
    return tally_of(past, stretch, title)


def read_past(history: History, shop: Shop, stretch: Stretch, order: str | None = None) -> Past:
    """Read all that a tally is made from."""
    start, end = stretch.start, stretch.end
    castings = history.castings(start, end, order)
    ours = {row.serial for row in castings} if order is not None else None
    works = history.works(start, end)
    late = history.works(end, end + _LONGEST_TASK)
    at_end = _at_end(history, castings, stretch)
    since = history.orders_known_since()
    return Past(
        shop=shop,
        builds=history.builds,
        castings=castings,
        at_start=history.castings_at([r.serial for r in castings if unsure_at(r, start)], start),
        at_end=at_end,
        works=[w for w in works if ours is None or w.casting in ours],
        running_over=[
            w
            for w in late
            if w.begun_at is not None and w.begun_at < end and (ours is None or w.casting in ours)
        ],
        reworks=history.reworks(start, end),
        batches=history.batches(start, end) if order is None else (),
        weighed_batches=history.weighed_batches(start, end) if order is None else (),
        materials=history.materials(start, end) if order is None else (),
        layers=history.layers(start, end) if order is None else (),
        presences=history.presences(end),
        flags=history.flags(start, end, MOST_FLAGS) if order is None else (),
        flag_count=history.flag_count(start, end) if order is None else 0,
        log_counts=history.log_counts(start, end) if order is None else (),
        finished=_finished(history, shop, since, castings, at_end, end),
        orders_since=since,
        shop_since=history.shop_known_since(),
        order=order,
    )


def _at_end(
    history: History, castings: Sequence[h.CastingRow], stretch: Stretch
) -> dict[str, Casting]:
    """Return the castings in progress at the end, and those that were sent back since."""
    end = stretch.end
    unsure = [row.serial for row in castings if unsure_at(row, end)]
    standing = [
        row.serial
        for row in castings
        if row.serial not in unsure and stand_at(row, end, {}) == "in progress"
    ]
    if end > stretch.now:
        return history.castings_now(standing) | history.castings_at(unsure, end)
    return history.castings_at([*standing, *unsure], end)


def _finished(
    history: History,
    shop: Shop,
    since: dict[str, dt.datetime],
    castings: Sequence[h.CastingRow],
    at_end: dict[str, Casting],
    end: dt.datetime,
) -> Iterator[h.FinishedRow]:
    """Yield the castings that were good at the end, in the order in which they were finished."""
    if not shop.orders:
        return
    known = [since[key] for key in shop.orders if key in since]
    pieces = sorted({order.piece for order in shop.orders.values()})
    found = history.finished_for_orders(pieces, min(known, default=end), end)
    # Finished by then and sent back since: their rows say so no longer.
    back = sorted(
        (
            FinishedRow(row.serial, row.piece, row.order, row.begun_at, finished)
            for row in castings
            if row.serial in at_end and (finished := at_end[row.serial].finished_at) is not None
        ),
        key=_finished_at,
    )
    kept = (row for row in found if row.serial not in at_end)
    yield from heapq.merge(kept, back, key=_finished_at)


def _finished_at(row: h.FinishedRow) -> dt.datetime:
    return row.finished_at
