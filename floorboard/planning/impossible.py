"""What cannot be done in a shop whatever the plan, named with its numbers before any solving."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from pydantic import Field

from floorboard.floor.floor import Floor
from floorboard.planning.build_problem import Supposing, build_problem
from floorboard.planning.day_times import DayTimes, celsius
from floorboard.planning.hands import hands
from floorboard.planning.layer_limits import layers_beyond_limits
from floorboard.planning.plan import PlanValue
from floorboard.planning.search import first_plan
from floorboard.shop.cross_checks import findings

if TYPE_CHECKING:
    from collections.abc import Iterator

    from floorboard.shop.shop import Shop, Skill

# A casting that finds no place in an empty shop over this long finds none at all.
LONG_LOOK = dt.timedelta(days=9)


class Impossible(PlanValue):
    """One thing no plan can do: of what, and why, in a sentence with its numbers."""

    subject: str = Field(description="the field of the shop, the piece or the skill")
    message: str


def impossible(
    shop: Shop, floor: Floor | None = None, now: dt.datetime | None = None
) -> list[Impossible]:
    """Return everything no plan of the shop can do.

    Parameters
    ----------
    floor
        For the day's temperature, at which working times and cures may differ, and for who is
        away; without it only what the definitions themselves rule out is named.
    now
        Aware UTC, with `floor`: also try each piece alone in an empty shop from then on.
    """
    found = [_of_definitions(finding.path, finding.message) for finding in findings(shop)]
    if found or floor is None:
        return found
    found += [
        Impossible(subject=f"pieces.{key}", message=message)
        for key in shop.pieces
        for message in layers_beyond_limits(shop, key, DayTimes(celsius(floor)))
    ]
    if now is None:
        return found
    found += _nobody_there(shop, floor, now)
    if not found:
        found += _alone_in_vain(shop, floor, now)
    return found


def _of_definitions(path: tuple[str | int, ...], message: str) -> Impossible:
    return Impossible(subject=".".join(str(part) for part in path), message=message)


def _nobody_there(shop: Shop, floor: Floor, now: dt.datetime) -> Iterator[Impossible]:
    """Yield skills that nobody at work in the days to come has."""
    there = {key for key, spans in hands(shop, floor, now, now + LONG_LOOK).items() if spans}
    wanted: dict[Skill, str] = {}
    for mold in shop.molds.values():
        for skill in ("ready", "layer", "demold"):
            wanted.setdefault(skill, mold.piece)
        if any(not step.passive for step in shop.pieces[mold.piece].route):
            wanted.setdefault("finish", mold.piece)
    for skill, piece in wanted.items():
        if not any(skill in shop.people[key].skills for key in there):
            yield Impossible(
                subject=f"people, skill {skill}",
                message=f"Nobody at work in the next {LONG_LOOK.days} days has the skill "
                f"'{skill}', which '{piece}' needs.",
            )


def _alone_in_vain(shop: Shop, floor: Floor, now: dt.datetime) -> Iterator[Impossible]:
    """Yield pieces of which not even one casting finds a place in an otherwise empty shop."""
    for key in dict.fromkeys(mold.piece for mold in shop.molds.values()):
        if _fits_alone(shop, floor, now, key, None):
            continue
        message = (
            f"Not one casting of '{key}' finds a place in an empty shop within {LONG_LOOK.days} "
            "days: its layers, with their windows and the time to demold, never fit the working "
            "times of those who can do them."
        )
        if _fits_alone(shop, floor, now, key, Supposing(no_breaks=True)):
            message += " Without breaks it would fit: move a break, or open a recoat window longer."
        elif _fits_alone(shop, floor, now, key, Supposing(more_hands=True)):
            message += " With hands around the clock it would fit: lengthen a shift or a window."
        yield Impossible(subject=f"pieces.{key}", message=message)


def _fits_alone(
    shop: Shop, floor: Floor, now: dt.datetime, piece: str, supposing: Supposing | None
) -> bool:
    molds = {key: mold for key, mold in shop.molds.items() if mold.piece == piece}
    key = min(molds)
    alone = molds[key].model_copy(update={"in_service": True, "retire_at": None})
    empty = Floor(away=floor.away, conditions=floor.conditions, conditions_at=floor.conditions_at)
    source = build_problem(
        shop.model_copy(update={"molds": {key: alone}, "orders": {}}),
        empty,
        now,
        now + LONG_LOOK,
        today_most={piece: 1},
        supposing=supposing,
    )
    placements = first_plan(source.problem).placements
    return any(
        placements[group.tasks[0]] is not None
        for group, ref in zip(source.problem.groups, source.groups, strict=True)
        if ref.pool is not None
    )
