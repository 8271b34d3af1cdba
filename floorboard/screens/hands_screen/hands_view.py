"""What the hands chart shows: lanes of bars on one time axis, without any drawing."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from floorboard.shop.calendar import stretches

if TYPE_CHECKING:
    from floorboard.planning.plan import Plan, PlannedTask
    from floorboard.shop.shop import Shop

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
    """The chart's span, its lanes, and what is to be said of the plan."""

    start: dt.datetime
    end: dt.datetime
    lanes: tuple[Lane, ...]
    summary: tuple[str, ...]


def hands_chart(shop: Shop, plan: Plan, now: dt.datetime, hours: float) -> HandsChart:
    """Return the chart from a little before now for so many hours."""
    start = now - dt.timedelta(minutes=10)
    end = start + dt.timedelta(hours=hours)
    molds = {casting.id: casting.mold for casting in plan.castings}
    lanes = [_person_lane(shop, plan, person, molds, start, end) for person in shop.people]
    lanes += _mold_lanes(shop, plan, molds, start, end)
    return HandsChart(start, end, tuple(lanes), summary_lines(shop, plan, now))


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
                bar = Bar(task.start, task.end, task.kind, str(task.index + 1), task.fixed)
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


def summary_lines(shop: Shop, plan: Plan, now: dt.datetime) -> tuple[str, ...]:
    """Return what is to be said of the plan: its age and proof, its castings, what it loses."""
    age = max(0, round((now - plan.made_at).total_seconds()))
    proof = f", within {plan.gap:.0%} of the best proved possible" if plan.gap is not None else ""
    moved = (
        f", {plan.moved_next_hour} of the next hour's tasks moved"
        if plan.moved_next_hour is not None
        else ""
    )
    demolds = sum(task.kind == "demold" for task in plan.tasks)
    new = sum(casting.new for casting in plan.castings)
    lines = [
        f"Plan {age} s old, by {plan.engine}{proof}{moved}.",
        f"{demolds} castings to demold, {new} to begin.",
    ]
    for lost in plan.lost:
        lines.append(
            f"Lost: {lost.casting} layer {lost.layer + 1}. {lost.reason} {lost.would_have_saved}"
        )
    for order in plan.orders:
        name = shop.orders[order.order].name if order.order in shop.orders else None
        late = f", late by {round(order.late_seconds / 60)} min" if order.late_seconds > 0 else ""
        lines.append(f"{name or order.order}: {order.planned} of {order.wanted}{late}.")
    return (*lines, *plan.notes)
