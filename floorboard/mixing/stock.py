"""The account of materials: lots received, opened, drawn from, wasted and counted.

A pure fold of simple records in the order of their times. A draw that names no lot is taken from
the lot that expires first among those in date; what no lot in date can give falls on the last
lot there was, and is said.
"""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from floorboard.shop.materials import Material

FAR_AWAY = dt.datetime.max.replace(tzinfo=dt.UTC)
LEAST_GRAMS = 1e-6


@dataclass(frozen=True, slots=True)
class Receipt:
    """A lot came in. `expires_at` is the supplier's date; `cost` is for the whole lot."""

    at: dt.datetime
    material: str
    lot: str
    grams: float
    expires_at: dt.datetime | None = None
    cost: float | None = None


@dataclass(frozen=True, slots=True)
class Opening:
    """A lot was opened: its open life runs from here."""

    at: dt.datetime
    material: str
    lot: str


@dataclass(frozen=True, slots=True)
class Draw:
    """Material left the stock: into a batch, onto a casting, into another lot, or as waste.

    `into_lot` names (material, lot) where a stock solution was made up from it. A draw into
    nothing is waste.
    """

    at: dt.datetime
    material: str
    grams: float
    lot: str | None = None
    batch: str | None = None
    casting: str | None = None
    into_lot: tuple[str, str] | None = None

    @property
    def wasted(self) -> bool:
        """Whether nothing was made of it."""
        return self.batch is None and self.casting is None and self.into_lot is None


@dataclass(frozen=True, slots=True)
class Count:
    """What is on hand of a lot was counted: the account goes by it from here."""

    at: dt.datetime
    material: str
    lot: str
    grams: float


Record = Receipt | Opening | Draw | Count


@dataclass(slots=True)
class LotStanding:
    """One lot as it stands, in grams."""

    material: str
    lot: str
    received_at: dt.datetime
    received_grams: float
    on_hand_grams: float
    expires_at: dt.datetime | None = None
    opened_at: dt.datetime | None = None
    cost_per_gram: float | None = None

    def in_date(self, at: dt.datetime) -> bool:
        """Whether the lot has not expired at a moment."""
        return self.expires_at is None or at < self.expires_at


@dataclass(slots=True)
class Account:
    """Lots by material and name in order of receipt, every draw with its lot, what to say.

    `zone` is the shop's: sentences name its dates.
    """

    lots: dict[str, dict[str, LotStanding]] = field(default_factory=dict)
    draws: list[Draw] = field(default_factory=list)
    sentences: list[str] = field(default_factory=list)
    zone: dt.tzinfo = dt.UTC

    def lot(self, material: str, lot: str) -> LotStanding | None:
        """Return a lot by its material and name, if it was received."""
        return self.lots.get(material, {}).get(lot)

    def lots_of(self, material: str) -> tuple[LotStanding, ...]:
        """Return the lots of a material in order of receipt."""
        return tuple(self.lots.get(material, {}).values())

    def on_hand_grams(self, material: str, at: dt.datetime) -> float:
        """Grams in lots that are in date at a moment."""
        return sum(one.on_hand_grams for one in self.lots_of(material) if one.in_date(at))

    def expired_grams(self, material: str, at: dt.datetime) -> float:
        """Grams still there in lots past their date."""
        return sum(one.on_hand_grams for one in self.lots_of(material) if not one.in_date(at))

    def first_expired_first(self, material: str, at: dt.datetime) -> list[LotStanding]:
        """Lots in date that still hold something: soonest to expire first, then oldest."""
        usable = [
            one
            for one in self.lots_of(material)
            if one.on_hand_grams > LEAST_GRAMS and one.in_date(at)
        ]
        return sorted(usable, key=lambda one: (one.expires_at or FAR_AWAY, one.received_at))


def last_day(expires_at: dt.datetime, zone: dt.tzinfo) -> str:
    """Return the last date a lot is good on in a zone, as 2026-09-30.

    A lot good to the end of a date expires as the next one begins.
    """
    return f"{(expires_at - dt.timedelta(microseconds=1)).astimezone(zone):%Y-%m-%d}"


@dataclass(frozen=True, slots=True)
class Picking:
    """From which lots to take a weight, as (lot, grams), and what no lot can give."""

    takes: tuple[tuple[str, float], ...]
    short_grams: float


def account_of(
    records: Iterable[Record],
    materials: Mapping[str, Material],
    onto: Account | None = None,
) -> Account:
    """Fold records into the account; they are put in order of their times first.

    `onto` is an account to go on from, none of whose records is later; it is changed in place
    and returned.
    """
    account = onto if onto is not None else Account()
    for record in sorted(records, key=lambda one: one.at):
        if isinstance(record, Draw):
            _draw(account, record)
        elif isinstance(record, Receipt):
            _receive(account, record, materials.get(record.material))
        else:
            _touch(account, record, materials.get(record.material))
    return account


def pick(account: Account, material: str, grams: float, at: dt.datetime) -> Picking:
    """Choose the lots to take a weight from, first-expired first; expired ones never."""
    takes, left = [], grams
    for lot in account.first_expired_first(material, at):
        if left <= LEAST_GRAMS:
            break
        taken = min(left, lot.on_hand_grams)
        takes.append((lot.lot, taken))
        left -= taken
    return Picking(tuple(takes), left if left > LEAST_GRAMS else 0.0)


def usual_grams_a_day(
    draws: Iterable[Draw], material: str, now: dt.datetime, days: float = 28.0
) -> float:
    """Grams drawn a day, waste included, over the last days, or since the first draw if later.

    A material first drawn today counts as a whole day's use.
    """
    since = now - dt.timedelta(days=days)
    recent = [one for one in draws if one.material == material and since <= one.at <= now]
    if not recent:
        return 0.0
    first = min(one.at for one in recent)
    span = min(days, max(1.0, (now - first) / dt.timedelta(days=1)))
    return math.fsum(one.grams for one in recent) / span


def _receive(account: Account, receipt: Receipt, material: Material | None) -> None:
    known = account.lot(receipt.material, receipt.lot)
    if known is not None:
        known.received_grams += receipt.grams
        known.on_hand_grams += receipt.grams
        return
    shelf = material.shelf_life if material is not None else None
    expires = receipt.expires_at
    if expires is None and shelf is not None:
        expires = receipt.at + dt.timedelta(seconds=shelf)
    account.lots.setdefault(receipt.material, {})[receipt.lot] = LotStanding(
        material=receipt.material,
        lot=receipt.lot,
        received_at=receipt.at,
        received_grams=receipt.grams,
        on_hand_grams=receipt.grams,
        expires_at=expires,
        cost_per_gram=(
            receipt.cost / receipt.grams if receipt.cost is not None and receipt.grams > 0 else None
        ),
    )


def _touch(account: Account, record: Opening | Count, material: Material | None) -> None:
    lot = account.lot(record.material, record.lot)
    if lot is None:
        done = "opened" if isinstance(record, Opening) else "counted"
        account.sentences.append(
            f"{record.material} lot {record.lot} was {done} and never received: note its receipt."
        )
    elif isinstance(record, Count):
        lot.on_hand_grams = record.grams
    elif lot.opened_at is None:
        lot.opened_at = record.at
        if material is not None and material.open_life is not None:
            ends = record.at + dt.timedelta(seconds=material.open_life)
            lot.expires_at = min(ends, lot.expires_at or FAR_AWAY)


def _draw(account: Account, draw: Draw) -> None:
    if draw.lot is not None:
        _draw_from(account, draw, draw.lot, draw.grams)
        return
    picking = pick(account, draw.material, draw.grams, draw.at)
    for name, grams in picking.takes:
        _draw_from(account, draw, name, grams)
    if not picking.short_grams:
        return
    lots = account.lots_of(draw.material)
    if not lots:
        # Tap water and the like: never received, so not kept account of.
        account.draws.append(draw)
        return
    last = picking.takes[-1][0] if picking.takes else lots[-1].lot
    _draw_from(account, draw, last, picking.short_grams)


def _draw_from(account: Account, draw: Draw, name: str, grams: float) -> None:
    account.draws.append(replace(draw, lot=name, grams=grams))
    lot = account.lot(draw.material, name)
    if lot is None:
        account.sentences.append(
            f"{draw.material} lot {name} was drawn from and never received: note its receipt."
        )
        return
    late = lot.expires_at is not None and not lot.in_date(draw.at) and not draw.wasted
    if late and lot.expires_at is not None and grams > LEAST_GRAMS:
        account.sentences.append(
            f"{draw.material} lot {name} was used after it expired on "
            f"{last_day(lot.expires_at, account.zone)}: {grams:.6g} g."
        )
    over = grams - lot.on_hand_grams
    if over > LEAST_GRAMS:
        account.sentences.append(
            f"{draw.material} lot {name} gave {over:.6g} g more than it held: count it."
        )
    # A difference of weights has no more digits than they had.
    lot.on_hand_grams = max(0.0, round(lot.on_hand_grams - grams, 6))
