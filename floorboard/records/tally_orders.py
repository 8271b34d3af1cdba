"""How far each order is filled: which good castings count for it, and whether it was in time."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from floorboard.records.tally_model import OrderLine
from floorboard.shop.calendar import due_utc

if TYPE_CHECKING:
    import datetime as dt

    from floorboard.floor import history_rows as h
    from floorboard.records.tally_past import Past, Stretch
    from floorboard.shop.shop import Shop

OrderState = Literal["on time", "late", "overdue", "open"]


def orders_by_due(shop: Shop) -> list[tuple[str, dt.datetime]]:
    """Return the orders with the moments they are due by, earliest first."""
    due = [(key, due_utc(order, shop.shop.zone)) for key, order in shop.orders.items()]
    return sorted(due, key=lambda pair: (pair[1], pair[0]))


def filled(past: Past) -> dict[str, list[dt.datetime]]:
    """Return, for each order, when each casting that fills it was finished; no more than it asks.

    A good casting begun for an order counts for it. One begun for none, or for one already filled,
    counts for the earliest due order of its piece that still misses one and was known when the
    casting was begun.
    """
    shop = past.shop
    found: dict[str, list[dt.datetime]] = {key: [] for key in shop.orders}
    due = [key for key, _ in orders_by_due(shop)]
    missing = {key: order.quantity for key, order in shop.orders.items()}
    open_ = set(missing)
    for row in past.finished:
        own = row.order is not None and row.order in open_
        if own and shop.orders[row.order or ""].piece == row.piece:
            key = row.order
        else:
            key = next((k for k in due if k in open_ and _fits(past, k, row)), None)
        if key is None:
            continue
        found[key].append(row.finished_at)
        missing[key] -= 1
        if missing[key] == 0:
            open_.discard(key)
            if not open_:
                break
    return found


def _fits(past: Past, order: str, row: h.FinishedRow) -> bool:
    """Whether a casting can fill an order: its piece, and known when the casting was begun."""
    since = past.orders_since.get(order)
    return (
        past.shop.orders[order].piece == row.piece and since is not None and since <= row.begun_at
    )


def order_lines(past: Past, stretch: Stretch) -> tuple[OrderLine, ...]:
    """Return every order due or filled in the stretch, and every one still open, by due date."""
    moments = filled(past)
    lines = []
    for key, due in orders_by_due(past.shop):
        order = past.shop.orders[key]
        filled_at = (
            moments[key][order.quantity - 1] if len(moments[key]) >= order.quantity else None
        )
        line = OrderLine(
            order=key,
            name=order.name or key,
            piece=order.piece,
            quantity=order.quantity,
            good=len(moments[key]),
            due=due,
            filled_at=filled_at,
            state=_state(due, filled_at, stretch.until),
        )
        told = stretch.start < due <= stretch.end or filled_at is None
        told = told or (filled_at is not None and filled_at >= stretch.start)
        if told and past.order in {None, key}:
            lines.append(line)
    return tuple(lines)


def _state(due: dt.datetime, filled_at: dt.datetime | None, until: dt.datetime) -> OrderState:
    if filled_at is not None:
        return "on time" if filled_at <= due else "late"
    return "overdue" if until >= due else "open"


def wanted_by_piece(past: Past, stretch: Stretch) -> dict[str, int]:
    """Return how many of each piece the orders due in the stretch ask for."""
    found: dict[str, int] = {}
    for key, due in orders_by_due(past.shop):
        if stretch.start < due <= stretch.end and past.order in {None, key}:
            order = past.shop.orders[key]
            found[order.piece] = found.get(order.piece, 0) + order.quantity
    return found
