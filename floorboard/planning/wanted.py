"""What is wanted: the castings that open orders still miss, earliest due first."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from floorboard.shop.calendar import due_utc

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Mapping

    from floorboard.floor.casting import Casting
    from floorboard.floor.floor import Floor
    from floorboard.shop.shop import Shop


@dataclass(slots=True)
class Want:
    """One order: what is finished, what is begun, what is missing still."""

    order: str
    piece: str
    due: dt.datetime
    weight: float
    quantity: int
    done: int
    begun: int = 0

    @property
    def missing(self) -> int:
        """Castings not begun yet."""
        return max(0, self.quantity - self.done - self.begun)


@dataclass(frozen=True, slots=True)
class Wanted:
    """All orders, earliest due first, and the order each casting on the floor counts for.

    A shop without a single order wants whatever it can cast: `everything`.
    """

    wants: tuple[Want, ...]
    order_of: dict[str, str]
    everything: bool

    def slots(self, piece: str, most: int) -> list[Want | None]:
        """Return the orders the next castings of a piece are for, in turn; None: for no order."""
        if self.everything:
            return [None] * most
        found: list[Want | None] = []
        for want in self.wants:
            if want.piece == piece:
                found += [want] * min(want.missing, most - len(found))
        return found


def wanted(shop: Shop, floor: Floor, finished: Mapping[str, int] | None = None) -> Wanted:
    """Return what is wanted, with the castings on the floor counted off.

    Parameters
    ----------
    finished
        Castings finished for each order that the floor no longer holds, by order.

    A casting logged for an order counts for it, any other for the earliest order of its piece
    that still misses one.
    """
    finished = finished or {}
    wants = {
        key: Want(
            key,
            order.piece,
            due_utc(order, shop.shop.zone),
            order.weight,
            order.quantity,
            finished.get(key, 0),
        )
        for key, order in shop.orders.items()
    }
    ordered = sorted(wants.values(), key=lambda want: (want.due, want.order))
    order_of: dict[str, str] = {}
    castings = [c for c in floor.castings.values() if c.rejected_at is None]
    for casting in sorted(castings, key=lambda c: (c.order is None, c.begun_at, c.serial)):
        want = wants.get(casting.order or "")
        if want is None or want.piece != casting.piece_id:
            want = next((w for w in ordered if w.piece == casting.piece_id and w.missing), None)
        if want is not None:
            _count(want, casting)
            order_of[casting.serial] = want.order
    return Wanted(tuple(ordered), order_of, not shop.orders)


def _count(want: Want, casting: Casting) -> None:
    if casting.finished_at is not None:
        want.done += 1
    else:
        want.begun += 1
