"""What the hands chart shows: lanes of bars on one time axis, without any drawing."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal
from zoneinfo import ZoneInfo

from floorboard.shop.calendar import stretches
from floorboard.usecases.tally_text import minutes_text

if TYPE_CHECKING:
    from floorboard.planning.chance import Chance, Hurting
    from floorboard.planning.plan import OrderOutlook, Plan, PlannedTask
    from floorboard.shop.shop import Shop

# A smaller count is named beside the planned one when it is as likely as this.
SURE_ENOUGH = 0.9
# Delays that cost fewer castings an hour are not worth a line.
LEAST_HURT = 1.0

BarKind = Literal["ready", "batch", "layer", "demold", "step", "cure", "free"]


@dataclass(frozen=True, slots=True)
class Bar:
    """A stretch of time on a lane; `label` is shown if it fits."""

    start: dt.datetime
    end: dt.datetime
    kind: BarKind
    label: str
    fixed: bool = False


@dataclass(frozen=True, slots=True)
class Lane:
    """One row of the chart: a person, or a mold beneath them."""

    name: str
    bars: tuple[Bar, ...]
    free: tuple[tuple[dt.datetime, dt.datetime], ...] = ()
    is_person: bool = True


@dataclass(frozen=True, slots=True)
class HandsChart:
    """The chart's span and its lanes."""

    start: dt.datetime
    end: dt.datetime
    lanes: tuple[Lane, ...]


def hands_chart(
    shop: Shop, plan: Plan, now: dt.datetime, hours: float, moved_hours: float = 0.0
) -> HandsChart:
    """Return the chart of so many hours, from a little before now or moved on from there."""
    start = now - dt.timedelta(minutes=10) + dt.timedelta(hours=moved_hours)
    end = start + dt.timedelta(hours=hours)
    molds = {casting.id: casting.mold for casting in plan.castings}
    lanes = [_person_lane(shop, plan, person, molds, start, end) for person in shop.people]
    lanes += _mold_lanes(shop, plan, molds, start, end)
    return HandsChart(start, end, tuple(lanes))


def _person_lane(
    shop: Shop,
    plan: Plan,
    person: str,
    molds: dict[str, str],
    start: dt.datetime,
    end: dt.datetime,
) -> Lane:
    bars = tuple(
        Bar(task.start, task.end, task.kind, task_label(shop, task, molds), task.fixed)
        for task in plan.for_person(person)
        if task.start < end and task.end > start
    )
    free = tuple(stretches(shop.people[person], shop.shop.zone, start, end))
    return Lane(shop.people[person].name, bars, free)


def task_label(shop: Shop, task: PlannedTask, molds: dict[str, str]) -> str:
    """Return a task's short label: mold number and layer, "mix", or the step's kind."""
    mold = shop.molds.get(molds.get(task.castings[0], "")) if task.castings else None
    number = str(mold.number) if mold is not None else ""
    match task.kind:
        case "batch":
            return "mix"
        case "layer":
            return f"{number}·{task.index + 1}"
        case "ready":
            return f"ready {number}"
        case "demold":
            return f"demold {number}"
        case _:
            return f"{len(task.castings)}x step" if len(task.castings) > 1 else "step"


def _mold_lanes(
    shop: Shop, plan: Plan, molds: dict[str, str], start: dt.datetime, end: dt.datetime
) -> list[Lane]:
    by_mold: dict[str, list[Bar]] = {}
    for cure in plan.cures:
        mold = molds.get(cure.casting)
        if mold not in shop.molds or cure.kind in {"drying", "cure"}:
            continue
        if cure.start < end and cure.end > start:
            bar = Bar(cure.start, cure.end, "cure", cure.kind)
            by_mold.setdefault(mold, []).append(bar)
    for task in plan.tasks:
        for casting in task.castings:
            mold = molds.get(casting)
            in_mold = task.kind in {"ready", "layer", "demold"}
            if mold in shop.molds and in_mold and task.start < end and task.end > start:
                label = str(task.index + 1) if task.kind == "layer" else task.kind[0]
                bar = Bar(task.start, task.end, task.kind, label, task.fixed)
                by_mold.setdefault(mold, []).append(bar)
    numbered = sorted(by_mold, key=lambda mold: shop.molds[mold].number)
    return [
        Lane(
            f"mold {shop.molds[mold].number}",
            tuple(sorted(by_mold[mold], key=lambda bar: bar.start)),
            is_person=False,
        )
        for mold in numbered
    ]


def plan_words(shop: Shop, plan: Plan, now: dt.datetime) -> tuple[str, ...]:
    """Return what is to be said of the plan: its age and proof, its castings, what it loses."""
    if plan.engine == "none":
        return ("No plan yet.",)
    age = max(0, round((now - plan.made_at).total_seconds()))
    old = f"{age} s" if age < 120 else f"{age // 60} min"
    proof = f", within {plan.gap:.0%} of the best there can be" if plan.gap is not None else ""
    moved = (
        f", {plan.moved_next_hour} of the next hour's tasks moved"
        if plan.moved_next_hour is not None
        else ""
    )
    demolds = sum(1 for casting in plan.castings if casting.demolded_at is not None)
    begins = sum(casting.new for casting in plan.castings)
    until = _until(shop, plan, now)
    lines = [
        f"Plan {old} old{proof}{moved}. As planned by {until}: {_castings(demolds)} to demold, "
        f"{begins} to begin."
    ]
    for lost in plan.lost:
        lines.append(
            f"Lost: {lost.casting} layer {lost.layer + 1}. {lost.reason} {lost.would_have_saved}"
        )
    lines += [_order_words(shop, order, until) for order in plan.orders]
    return (*lines, *plan.notes)


def _castings(count: int) -> str:
    return "1 casting" if count == 1 else f"{count} castings"


def _until(shop: Shop, plan: Plan, now: dt.datetime) -> str:
    """Return till when a plan reaches: the time alone if it is today."""
    zone = ZoneInfo(shop.shop.zone)
    end = plan.until.astimezone(zone)
    return f"{end:%H:%M}" if end.date() == now.astimezone(zone).date() else f"{end:%a %H:%M}"


def _order_words(shop: Shop, order: OrderOutlook, until: str) -> str:
    named = shop.orders.get(order.order)
    name = (named.name if named is not None else None) or order.order
    late = f", late by {minutes_text(order.late_seconds / 60)}" if order.late_seconds > 0 else ""
    # What is not finished within the plan is later still.
    late += " or more" if late and order.ready_at is None else ""
    return (
        f"{name}: {order.done} of {order.wanted} done; as planned by {until}: "
        f"{order.planned} of {order.wanted}{late}."
    )


def chance_words(shop: Shop, chance: Chance) -> tuple[str, ...]:
    """Return how likely today's count and each order are, and whose delay costs the most."""
    lines = []
    if chance.planned:
        surer = next((c for c in reversed(chance.counts) if c.chance >= SURE_ENOUGH), None)
        text = (
            f"{_castings(chance.planned)} demolded today as planned: "
            f"{chance.chance_of_planned:.0%} likely"
        )
        if surer is not None and surer.castings < chance.planned:
            text += f"; {surer.castings} or more: {surer.chance:.0%}"
        lines.append(f"{text}.")
    told = [order for order in chance.orders if order.chance is not None]
    for order in told:
        named = shop.orders.get(order.order)
        name = (named.name if named is not None else None) or order.order
        lines.append(f"{name} in time: {order.chance:.0%} likely.")
    if chance.hurting and chance.hurting[0].castings_per_hour >= LEAST_HURT:
        lines.append(_hurt_words(shop, chance.hurting[0]))
    return tuple(lines)


def _hurt_words(shop: Shop, hurt: Hurting) -> str:
    who = shop.people[hurt.person].name if hurt.person in shop.people else hurt.person
    at = hurt.start.astimezone(ZoneInfo(shop.shop.zone))
    minutes = 60 / hurt.castings_per_hour
    return (
        f"Being late hurts most with {who}'s {TASK_WORDS[hurt.kind]} at {at:%H:%M}: every "
        f"{max(1, round(minutes))} min cost a casting today."
    )


TASK_WORDS = {
    "ready": "mold to ready",
    "batch": "batch",
    "layer": "layer",
    "demold": "demold",
    "step": "finishing",
}
