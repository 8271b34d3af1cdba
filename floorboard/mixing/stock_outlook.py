"""Where each material stands against today's plan: short, expired or due to be ordered."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from floorboard.mixing.stock import LEAST_GRAMS, Account, last_day, pick, usual_grams_a_day
from floorboard.shop.base import Definition

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from floorboard.mixing.batch import Batch
    from floorboard.shop.materials import Material

SECONDS_A_DAY = 86_400.0
# How a remark begins that is no more than advice to order in time.
ORDER = "Order "


class StockLine(Definition):
    """One material, in grams; a material without any receipt is not kept account of.

    `free_grams` is what is on hand in date less what the plan has committed, below zero when it
    falls short. `days_left` at the usual rate, None where nothing was drawn. `order_now` when
    what is free is at or under the reorder point.
    """

    material: str
    name: str
    on_hand_grams: float
    expired_grams: float
    committed_grams: float
    free_grams: float
    grams_a_day: float
    days_left: float | None
    reorder_at_grams: float | None
    order_now: bool
    next_lot: str | None
    next_expiry: dt.datetime | None
    remarks: tuple[str, ...] = ()


def committed_by(batches: Sequence[Batch]) -> dict[str, float]:
    """Grams of each material that planned batches will take."""
    needs: dict[str, float] = {}
    for batch in batches:
        for material, grams in batch.by_material.items():
            needs[material] = needs.get(material, 0.0) + grams
    return needs


def stock_lines(
    account: Account,
    materials: Mapping[str, Material],
    committed: Mapping[str, float],
    now: dt.datetime,
    *,
    plan_ends: dt.datetime | None = None,
    reorder_points: Mapping[str, float] | None = None,
    usual_days: float = 28.0,
) -> tuple[StockLine, ...]:
    """Say for each material how it stands, in the order the shop lists them.

    Parameters
    ----------
    committed : grams by material that the plan still takes.
    plan_ends : until when the plan draws; lots that expire before are said. `now` by default.
    reorder_points : grams by material where they are worked out; a material's own `reorder_at`
        otherwise.
    """
    points = reorder_points or {}
    ends = plan_ends or now
    return tuple(
        _line(key, one, account, committed.get(key, 0.0), now, ends, points.get(key), usual_days)
        for key, one in materials.items()
        if account.lots_of(key)
    )


def _line(
    key: str,
    material: Material,
    account: Account,
    committed: float,
    now: dt.datetime,
    ends: dt.datetime,
    point: float | None,
    days: float,
) -> StockLine:
    on_hand = account.on_hand_grams(key, now)
    expired = account.expired_grams(key, now)
    rate = usual_grams_a_day(account.draws, key, now, days)
    if point is None and material.reorder_at is not None:
        point = float(material.reorder_at)
    lots = account.first_expired_first(key, now)
    free = on_hand - committed
    order_now = point is not None and free <= point
    return StockLine(
        material=key,
        name=material.name,
        on_hand_grams=on_hand,
        expired_grams=expired,
        committed_grams=committed,
        free_grams=free,
        grams_a_day=rate,
        days_left=on_hand / rate if rate > 0 else None,
        reorder_at_grams=point,
        order_now=order_now,
        next_lot=lots[0].lot if lots else None,
        next_expiry=lots[0].expires_at if lots else None,
        remarks=(
            *_plan_remarks(material.name, key, account, committed, now, ends),
            *((f"{ORDER}{material.name}{_lead(material)}.",) if order_now else ()),
        ),
    )


def _plan_remarks(
    name: str, key: str, account: Account, committed: float, now: dt.datetime, ends: dt.datetime
) -> list[str]:
    remarks = [
        f"{name}: lot {lot.lot} expired on {last_day(lot.expires_at, account.zone)}; its "
        f"{lot.on_hand_grams:.6g} g are not counted."
        for lot in account.lots_of(key)
        if lot.expires_at is not None and not lot.in_date(now) and lot.on_hand_grams > LEAST_GRAMS
    ]
    picking = pick(account, key, committed, now)
    if picking.short_grams:
        remarks.append(
            f"{name}: the plan takes {committed:.6g} g and "
            f"{account.on_hand_grams(key, now):.6g} g are on hand, "
            f"{picking.short_grams:.6g} g short."
        )
    for taken, _ in picking.takes:
        lot = account.lot(key, taken)
        if lot is not None and lot.expires_at is not None and not lot.in_date(ends):
            remarks.append(
                f"{name}: lot {taken} expires on {last_day(lot.expires_at, account.zone)}, "
                "before the plan has drawn from it to the end."
            )
    return remarks


def _lead(material: Material) -> str:
    if material.lead_time is None:
        return ""
    return f"; it takes {material.lead_time / SECONDS_A_DAY:.3g} days to come"
