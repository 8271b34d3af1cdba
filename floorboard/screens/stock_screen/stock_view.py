"""What the stock screen shows at a moment, without any drawing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from rich.cells import cell_len

from floorboard.screens.fit import fit, fit_right
from floorboard.shop.units import show_grams
from floorboard.usecases.batch_ticket import in_shop_units
from floorboard.usecases.lot_lines import lot_lines
from floorboard.usecases.stock_notes import committed_grams

if TYPE_CHECKING:
    import datetime as dt

    from floorboard.mixing.stock_outlook import StockLine
    from floorboard.shop.shop import Shop
    from floorboard.usecases.lot_lines import LotLine
    from floorboard.usecases.session import Session

AMOUNT_WIDTH = 12
DAYS_WIDTH = 6
# Names are not cut shorter than this for the point to order at.
LEAST_NAME = 20


@dataclass(frozen=True, slots=True)
class StockView:
    """A line a material that the shop keeps account of, its lots, and what to mind."""

    lines: tuple[StockLine, ...]
    lots: tuple[LotLine, ...]
    remarks: tuple[str, ...]

    def lots_of(self, material: str | None) -> tuple[LotLine, ...]:
        """Return the lots of one material."""
        return tuple(lot for lot in self.lots if lot.material == material)


def stock_view(session: Session, now: dt.datetime, *, empty: bool) -> StockView:
    """Return how the stock stands against the plan that is followed.

    `empty` asks for lots that are used up too.
    """
    shop, book, plan = session.shop, session.book, session.plan
    taken = committed_grams(shop, session.floor, plan)
    lines = book.lines(shop, taken, now, plan.until)
    lots = lot_lines(shop, book.lots(shop), now, empty=empty)
    remarks = [remark for line in lines for remark in line.remarks]
    said = tuple(in_shop_units(shop, text) for text in (*remarks, *book.sentences(shop)))
    return StockView(lines, lots, said)


def material_head(width: int) -> str:
    """Return the heading of the materials' columns."""
    name, order = _columns(width)
    tail = fit_right("order at", AMOUNT_WIDTH) if order else ""
    return (
        f"{fit('  material', name)}{fit_right('on hand', AMOUNT_WIDTH)}"
        f"{fit_right('plan takes', AMOUNT_WIDTH)}{fit_right('days', DAYS_WIDTH)}{tail}"
    )


def material_text(shop: Shop, line: StockLine, width: int) -> str:
    """Return a material's line; "!" marks one that something is to be minded of."""
    name, order = _columns(width)
    days = "" if line.days_left is None else f"{line.days_left:.0f}"
    point = "" if line.reorder_at_grams is None else show_grams(shop, line.reorder_at_grams)
    mark = "!" if line.remarks else " "
    return (
        f"{mark} {fit(line.name, name - 2)}"
        f"{fit_right(show_grams(shop, line.on_hand_grams), AMOUNT_WIDTH)}"
        f"{fit_right(show_grams(shop, line.committed_grams), AMOUNT_WIDTH)}"
        f"{fit_right(days, DAYS_WIDTH)}{fit_right(point, AMOUNT_WIDTH) if order else ''}"
    )


def _columns(width: int) -> tuple[int, bool]:
    """Return the width of the name and whether the point to order at has room."""
    rest = width - 2 * AMOUNT_WIDTH - DAYS_WIDTH
    order = rest - AMOUNT_WIDTH >= LEAST_NAME
    return max(10, rest - (AMOUNT_WIDTH if order else 0)), order


def lot_head(width: int) -> str:
    """Return the heading of the lots' columns."""
    return (
        f"{fit('  lot', _lot_width(width))}{fit_right('on hand', AMOUNT_WIDTH)}  good until, opened"
    )


def lot_text(shop: Shop, lot: LotLine, width: int) -> str:
    """Return a lot's line; ">" marks the one used first, "!" one that has expired."""
    mark = "!" if lot.expired else ">" if lot.used_first else " "
    until = lot.good_until or "no date"
    opened = "" if lot.opened_at is None else f", opened {lot.opened_at:%d %b}"
    said = f"expired {until}" if lot.expired else f"{until}{opened}"
    head = (
        f"{mark} {fit(lot.lot, _lot_width(width) - 2)}"
        f"{fit_right(show_grams(shop, lot.on_hand_grams), AMOUNT_WIDTH)}  "
    )
    return head + fit(said, width - cell_len(head)).rstrip()


def _lot_width(width: int) -> int:
    return max(10, min(24, width - AMOUNT_WIDTH - 30))
