"""Costs of pieces, orders and scrap, over a stretch of time."""

from __future__ import annotations

import datetime as dt
import statistics
from typing import TYPE_CHECKING

from floorboard.mixing.cost import (
    CastingCost,
    Cost,
    ScrapLine,
    casting_cost,
    cost_of,
    order_cost,
    piece_cost,
)
from floorboard.mixing.refusal import refuse
from floorboard.shop.base import Definition
from floorboard.shop.build import build_of
from floorboard.shop.names import key_called

if TYPE_CHECKING:
    from floorboard.floor.history_rows import CastingRow
    from floorboard.shop.build import Build
    from floorboard.shop.shop import Shop
    from floorboard.usecases.costs import CostBook
    from floorboard.usecases.history_port import History
    from floorboard.usecases.ports import StockRows

LONG_AGO = dt.datetime(2000, 1, 1, tzinfo=dt.UTC)


class PieceCostReport(Definition):
    """A piece: what one casting costs by its definitions, and what the ones made really cost.

    `ended` are castings finished or rejected in the stretch; `each_good` is everything spent on
    them over the good ones, None without a good one.
    """

    piece: str
    name: str
    as_defined: CastingCost
    ended: int
    good: int
    spent: Cost
    each_good: Cost | None


class OrderCostReport(Definition):
    """An order: spent so far on the castings begun for it, and what it will cost in all.

    `expected` takes one casting as defined and the share scrapped so far.
    """

    order: str
    piece: str
    quantity: int
    begun: int
    good: int
    rejected: int
    spent: Cost
    expected: Cost


class ScrapReport(Definition):
    """What was scrapped in a stretch: castings by reason, dearest first, and batches lost."""

    lines: tuple[ScrapLine, ...]
    lost_batches: int
    lost: Cost
    whole: Cost


def piece_report(
    shop: Shop, costs: CostBook, history: History, piece: str, start: dt.datetime, end: dt.datetime
) -> PieceCostReport:
    """Return what a piece costs, as defined and as made in `[start, end)`.

    Raises
    ------
    floorboard.mixing.refusal.MixingError
        If the shop has no such piece.
    """
    piece = key_called(shop.pieces, piece)
    if piece not in shop.pieces:
        raise refuse("piece", f"found {piece!r}, expected one of: {', '.join(shop.pieces)}")
    ended = [
        row
        for row in history.castings(start, end)
        if row.piece == piece and (at := _ended_at(row)) is not None and start <= at < end
    ]
    good = sum(row.rejected_at is None for row in ended)
    spent = [costs.casting(row.serial).whole for row in ended]
    return PieceCostReport(
        piece=piece,
        name=shop.pieces[piece].name,
        as_defined=casting_cost(_priced_build(shop, piece), mean_hourly(shop)),
        ended=len(ended),
        good=good,
        spent=cost_of(spent),
        each_good=piece_cost(spent, good) if good else None,
    )


def order_report(
    shop: Shop, costs: CostBook, history: History, order: str, now: dt.datetime
) -> OrderCostReport:
    """Return what an order has cost so far and will cost.

    Raises
    ------
    floorboard.mixing.refusal.MixingError
        If the shop has no such order.
    """
    order = key_called(shop.orders, order)
    if order not in shop.orders:
        raise refuse(
            "order", f"found {order!r}, expected one of: {', '.join(shop.orders) or 'none yet'}"
        )
    known = shop.orders[order]
    rows = history.castings(LONG_AGO, now + dt.timedelta(seconds=1), order)
    rejected = sum(row.rejected_at is not None for row in rows)
    one = casting_cost(_priced_build(shop, known.piece), mean_hourly(shop)).whole
    share = rejected / len(rows) if rows and rejected < len(rows) else 0.0
    return OrderCostReport(
        order=order,
        piece=known.piece,
        quantity=known.quantity,
        begun=len(rows),
        good=sum(row.finished_at is not None and row.rejected_at is None for row in rows),
        rejected=rejected,
        spent=cost_of(costs.casting(row.serial).whole for row in rows),
        expected=order_cost(one, known.quantity, share),
    )


def scrap_report(
    costs: CostBook, history: History, rows: StockRows, start: dt.datetime, end: dt.datetime
) -> ScrapReport:
    """Return what was scrapped in `[start, end)` and what it had cost."""
    rejected = [
        row.serial
        for row in history.castings(start, end)
        if row.rejected_at is not None and start <= row.rejected_at < end
    ]
    lines = costs.scrap(rejected)
    batches = rows.batches_lost(start, end)
    lost = costs.lost(batches)
    return ScrapReport(
        lines=lines,
        lost_batches=len(batches),
        lost=lost,
        whole=cost_of([*(line.cost for line in lines), lost]),
    )


def mean_hourly(shop: Shop) -> float:
    """Return what an hour of hands costs: the mean of the people's rates."""
    return statistics.fmean(person.hourly for person in shop.people.values())


def _priced_build(shop: Shop, piece: str) -> Build:
    """Return a piece's build with every material of the shop: solutions cost what is in them."""
    return build_of(shop, piece).model_copy(update={"materials": shop.materials})


def _ended_at(row: CastingRow) -> dt.datetime | None:
    return row.rejected_at or row.finished_at
