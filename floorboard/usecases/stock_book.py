"""The account of materials, kept up with the log: folded once, then carried on.

One book serves a station's screens and its planner, which run on threads of their own; every
method may be called from any of them.
"""

from __future__ import annotations

import datetime as dt
import threading
from bisect import bisect_left
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from floorboard.mixing.stock import (
    Account,
    Count,
    Draw,
    LotStanding,
    Opening,
    Receipt,
    Record,
    account_of,
    pick,
)
from floorboard.mixing.stock_outlook import StockLine, stock_lines
from floorboard.usecases.reorder_points import reorder_points
from floorboard.usecases.stock_records import end_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from floorboard.shop.materials import Material
    from floorboard.shop.shop import Shop
    from floorboard.store.rows import StockMove
    from floorboard.usecases.ports import StockRows

USUAL_DAYS = 28.0


@dataclass(frozen=True, slots=True)
class LotTake:
    """So many grams from a lot; `lot` is None where the shop keeps no account of the material.

    `first` if the lot has not been opened before; `short` if it holds less by the account.
    """

    lot: str | None
    grams: float
    first: bool = False
    short: bool = False


class StockBook:
    """The account as the log has it now."""

    def __init__(self, rows: StockRows) -> None:
        self._rows = rows
        self._lock = threading.RLock()
        self._reader = _Reader(ZoneInfo("UTC"))
        self._account = Account()
        self._materials: Mapping[str, Material] | None = None
        self._seq = 0
        self._last_at: dt.datetime | None = None

    def lots_for(
        self, shop: Shop, material: str, grams: float, at: dt.datetime
    ) -> tuple[LotTake, ...]:
        """Choose the lots to take a weight from: first to expire first, expired ones never.

        What no lot in date has by the account is taken from the last of them all the same, or
        from the latest received: something is in the bag, and the account says to count it.
        """
        with self._lock:
            account = self._fresh(shop)
            picking = pick(account, material, grams, at)
            takes = [
                LotTake(lot, taken, self._unopened(material, lot)) for lot, taken in picking.takes
            ]
            if not picking.short_grams:
                return tuple(takes)
            if takes:
                takes[-1] = replace(
                    takes[-1], grams=takes[-1].grams + picking.short_grams, short=True
                )
                return tuple(takes)
            lots = [one for one in account.lots_of(material) if one.in_date(at)]
            last = (lots or account.lots_of(material))[-1:]
            if not last:
                return (LotTake(None, grams),)
            return (LotTake(last[0].lot, grams, self._unopened(material, last[0].lot), short=True),)

    def lines(
        self,
        shop: Shop,
        committed: Mapping[str, float],
        now: dt.datetime,
        plan_ends: dt.datetime | None = None,
    ) -> tuple[StockLine, ...]:
        """Say how each material stands against what the plan still takes."""
        with self._lock:
            account = self._fresh(shop)
            recent = replace(account, draws=self._recent(now))
            points = reorder_points(shop.materials, recent.draws, now, USUAL_DAYS)
            return stock_lines(
                recent,
                shop.materials,
                committed,
                now,
                plan_ends=plan_ends,
                reorder_points=points,
                usual_days=USUAL_DAYS,
            )

    def lots(self, shop: Shop) -> list[LotStanding]:
        """Return every lot as it stands, by material in the shop's order, then by receipt."""
        with self._lock:
            account = self._fresh(shop)
            known = [*shop.materials, *(key for key in account.lots if key not in shop.materials)]
            return [replace(lot) for key in known for lot in account.lots_of(key)]

    def lot(self, shop: Shop, material: str, lot: str) -> LotStanding | None:
        """Return one lot as it stands, if it was received."""
        with self._lock:
            found = self._fresh(shop).lot(material, lot)
            return None if found is None else replace(found)

    def on_hand_grams(self, shop: Shop, material: str, at: dt.datetime) -> float:
        """Return how much of a material is in lots in date."""
        with self._lock:
            return self._fresh(shop).on_hand_grams(material, at)

    def sentences(self, shop: Shop) -> tuple[str, ...]:
        """Return what is odd about the account, each once."""
        with self._lock:
            return tuple(dict.fromkeys(self._fresh(shop).sentences))

    def draws(self, shop: Shop) -> list[Draw]:
        """Return every draw with its lot."""
        with self._lock:
            return list(self._fresh(shop).draws)

    def _unopened(self, material: str, lot: str) -> bool:
        found = self._account.lot(material, lot)
        return found is not None and found.opened_at is None

    def _recent(self, now: dt.datetime) -> list[Draw]:
        since = now - dt.timedelta(days=USUAL_DAYS)
        draws = self._account.draws
        return draws[bisect_left(draws, since, key=lambda draw: draw.at) :]

    def _fresh(self, shop: Shop) -> Account:
        """Carry the account on to the last entry; from the start where what was folded changed."""
        last = self._rows.last()
        same = self._materials is shop.materials or self._materials == shop.materials
        if same and last == self._seq:
            return self._account
        again = not same or self._rows.struck_since(self._seq)
        moves = [] if again else self._rows.moves(self._seq)
        if any(self._last_at is not None and move.at < self._last_at for _, move in moves):
            # Logged later than it happened: the lots before it may have been others.
            again = True
        if again:
            zone = ZoneInfo(shop.shop.zone)
            self._reader = _Reader(zone)
            self._account, self._last_at = Account(zone=zone), None
            self._materials = shop.materials
            moves = self._rows.moves()
        account_of(self._reader.records(moves), shop.materials, self._account)
        self._seq = max(last, max((seq for seq, _ in moves), default=0))
        times = [move.at for _, move in moves]
        self._last_at = max([*times, *([self._last_at] if self._last_at else [])], default=None)
        return self._account


def account_of_moves(
    moves: Sequence[tuple[int, StockMove]], shop: Shop, materials: Mapping[str, Material]
) -> Account:
    """Return the account that these moves give."""
    return account_of(_Reader(ZoneInfo(shop.shop.zone)).records(moves), materials)


class _Reader:
    """Reads moves as records. A count is kept as a difference; the balance makes it whole again."""

    def __init__(self, zone: ZoneInfo) -> None:
        self._zone = zone
        self._balance: dict[tuple[str, str], float] = {}

    def records(self, moves: Sequence[tuple[int, StockMove]]) -> Iterable[Record]:
        made = {seq: (move.material, move.lot) for seq, move in moves if move.kind == "made up"}
        return [self._record(seq, move, made) for seq, move in moves]

    def _record(self, seq: int, move: StockMove, made: Mapping[int, tuple[str, str]]) -> Record:
        key = (move.material, move.lot)
        balance = self._balance[key] = self._balance.get(key, 0.0) + move.grams
        if move.kind in {"received", "made up"}:
            ends = None if move.expires is None else end_of(move.expires, self._zone)
            return Receipt(move.at, *key, move.grams, ends, move.cost)
        if move.kind == "opened":
            return Opening(move.at, *key)
        if move.kind == "counted":
            return Count(move.at, *key, round(balance, 6))
        return Draw(
            move.at,
            move.material,
            -move.grams,
            move.lot or None,
            batch=move.batch,
            casting=move.casting,
            into_lot=made.get(seq) if move.kind == "into lot" else None,
        )
