"""What the floor screen shows at a moment: rows, without any drawing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.floor.standing import Standing, standings
from floorboard.screens.countdown import countdown
from floorboard.screens.floor_screen.mold_row import MoldRow, Ribbon

if TYPE_CHECKING:
    import datetime as dt

    from floorboard.floor.casting import Casting
    from floorboard.floor.floor import Floor
    from floorboard.floor.waits import Wait
    from floorboard.planning.plan import Plan
    from floorboard.shop.shop import Shop


def mold_rows(shop: Shop, floor: Floor, plan: Plan | None, now: dt.datetime) -> list[MoldRow]:
    """Return the board's rows, the most urgent first; before there is a plan, without its starts."""
    planned = planned_starts(plan) if plan is not None else {}
    return [_row(shop, standing, planned, now) for standing in standings(shop, floor, now)]


def planned_starts(plan: Plan) -> dict[str, tuple[dt.datetime, str]]:
    """Return, for each casting and each mold's next new casting, when and by whom it is taken up."""
    molds = {casting.id: casting.mold for casting in plan.castings if casting.new}
    starts: dict[str, tuple[dt.datetime, str]] = {}
    for task in plan.tasks:
        if task.fixed or task.kind == "batch":
            continue
        for casting in task.castings:
            starts.setdefault(molds.get(casting, casting), (task.start, task.person))
    return starts


def _row(
    shop: Shop,
    standing: Standing,
    planned: dict[str, tuple[dt.datetime, str]],
    now: dt.datetime,
) -> MoldRow:
    mold = shop.molds[standing.mold]
    casting = standing.casting
    start = planned.get(casting.serial if casting else standing.mold)
    piece = casting.build.piece if casting else shop.pieces[mold.piece]
    seconds, waits_for = _counts_to(standing, now)
    who = shop.people[start[1]].name if start and start[1] in shop.people else ""
    return MoldRow(
        mold=standing.mold,
        number=mold.number,
        piece=piece.name,
        casting=casting.serial if casting else "",
        state=standing.state,
        layer=casting.layers_applied if casting else 0,
        layers=len(piece.layers),
        what=next_words(standing.wait, casting) if casting else "",
        countdown=countdown(seconds) if seconds is not None else "",
        waits_for=waits_for,
        ribbon=Ribbon(
            standing.seconds_to_open if casting else None,
            standing.seconds_to_close,
            (start[0] - now).total_seconds() if start else None,
        ),
        flagged=bool(casting and casting.flags),
        who=who,
    )


def _counts_to(standing: Standing, now: dt.datetime) -> tuple[float | None, str]:
    """Return what a row counts to, in seconds, and in words."""
    match standing.state:
        case "window lost":
            return standing.seconds_to_close, "past closing"
        case "closing" | "due" if standing.seconds_to_close is not None:
            return standing.seconds_to_close, "to closing"
        case "closing" | "due":
            return standing.seconds_to_open, "open"
        case "soon" | "curing" | "set aside":
            opens = standing.seconds_to_open
            if opens is not None and opens <= 0 and standing.seconds_to_close is not None:
                return standing.seconds_to_close, "to closing"
            return opens, "to opening" if opens is None or opens > 0 else "open"
        case "resting":
            return standing.seconds_to_open, "resting"
        case "in hand":
            return _in_hand_since(standing, now), "in hand"
        case _:
            return None, ""


def _in_hand_since(standing: Standing, now: dt.datetime) -> float | None:
    wait = standing.wait
    if wait is None:
        return None
    since = wait.begun_at or wait.since
    return -(now - since).total_seconds()


def next_words(wait: Wait | None, casting: Casting) -> str:
    """Return what a casting waits for: "layer 2", "demold", "trim"."""
    if wait is None:
        return ""
    if wait.kind == "layer":
        return f"layer {wait.index + 1}"
    if wait.kind == "step":
        step = casting.build.piece.route[wait.index]
        return step.name or step.kind
    return wait.kind
