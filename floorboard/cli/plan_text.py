"""A plan as lines of text."""

from __future__ import annotations

from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from floorboard.screens.countdown import clock_time
from floorboard.usecases.press_words import STEP_VERBS, mold_label

if TYPE_CHECKING:
    from collections.abc import Iterator

    from floorboard.planning.plan import Plan, PlannedTask
    from floorboard.shop.shop import Shop


def plan_lines(shop: Shop, plan: Plan) -> Iterator[str]:
    """Yield the plan: a line a task, then what is lost, the orders and the notes."""
    zone = ZoneInfo(shop.shop.zone)
    molds = {casting.id: casting.mold for casting in plan.castings}
    day = ""
    for task in plan.tasks:
        this_day = f"{task.start.astimezone(zone):%A %d %B}"
        if this_day != day:
            day = this_day
            yield day
        span = f"{clock_time(task.start, zone)}-{clock_time(task.end, zone)}"
        now = " (in hand)" if task.fixed else ""
        yield f"  {span}  {shop.people[task.person].name:<16} {_task(shop, plan, task, molds)}{now}"
    for lost in plan.lost:
        yield f"LOST  {lost.casting} layer {lost.layer + 1}: {lost.reason} {lost.would_have_saved}"
    for order in plan.orders:
        due = f"{order.due.astimezone(zone):%a %d %b %H:%M}"
        late = f", late by {round(order.late_seconds / 60)} min" if order.late_seconds > 0 else ""
        yield f"order {order.order}: {order.planned} of {order.wanted}, due {due}{late}"
    yield from plan.notes


def _task(shop: Shop, plan: Plan, task: PlannedTask, molds: dict[str, str]) -> str:
    casting = task.castings[0] if task.castings else ""
    where = mold_label(shop, molds.get(casting, ""))
    if task.kind == "batch":
        batch = plan.batch(task.batch or "")
        servings = batch.servings if batch is not None else ()
        layers = ", ".join(
            f"{mold_label(shop, molds.get(s.casting, ''))} layer {s.layer + 1}" for s in servings
        )
        grams = f"{batch.grams:.0f} g" if batch is not None else ""
        return f"weigh and mix {grams} for {layers}"
    if task.kind == "layer":
        return f"apply layer {task.index + 1} in {where}"
    if task.kind == "ready":
        return f"clean and ready {where}"
    if task.kind == "demold":
        return f"demold {where}"
    return _step(shop, plan, task, casting)


def _step(shop: Shop, plan: Plan, task: PlannedTask, casting: str) -> str:
    piece = next((c.piece for c in plan.castings if c.id == casting), "")
    route = shop.pieces[piece].route if piece in shop.pieces else ()
    kind = route[task.index].kind if task.index < len(route) else "pack"
    return f"{STEP_VERBS[kind].lower()} {', '.join(task.castings)}"
