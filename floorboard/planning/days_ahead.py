"""Days ahead: what each working day begins, demolds and finishes, if all goes as planned."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING

from pydantic import Field

from floorboard.planning.as_planned import floor_as_planned
from floorboard.planning.horizon import working_days
from floorboard.planning.plan import Plan, PlanValue
from floorboard.planning.planner import plan_shop

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from floorboard.floor.floor import Floor
    from floorboard.planning.solution import Limits
    from floorboard.shop.shop import Shop

LOOK = dt.timedelta(days=15)


class DayOutlook(PlanValue):
    """One working day of the shop, as planned."""

    date: dt.date
    begun: int = Field(description="castings begun")
    demolded: int
    finished: int = Field(description="castings through the last hands-on step")
    hands_on_seconds: float
    hands_seconds: float = Field(description="hands available: shifts less breaks")


@dataclass(frozen=True, slots=True)
class PlannedDay:
    """A day with its plan, the floor it began with and the floor it ends with."""

    outlook: DayOutlook
    plan: Plan
    before: Floor
    after: Floor


def roll_days(
    shop: Shop,
    floor: Floor,
    now: dt.datetime,
    most_days: int,
    *,
    finished: Mapping[str, int] | None = None,
    limits: Limits | None = None,
) -> Iterator[PlannedDay]:
    """Yield one working day after the other, each planned on the floor the one before leaves.

    With `limits` each day's plan is bettered for so long.
    """
    for _ in range(most_days):
        days = working_days(shop, floor, now, now + LOOK)
        if not days:
            return
        until = days[1].start if len(days) > 1 else days[0].end
        plan = plan_shop(shop, floor, now, finished=finished, limits=limits)
        after = floor_as_planned(shop, floor, plan, until)
        yield PlannedDay(_outlook(shop, floor, plan, days[0].date, now, until), plan, floor, after)
        floor, now = after, until


def days_ahead(
    shop: Shop,
    floor: Floor,
    now: dt.datetime,
    days: int = 7,
    *,
    finished: Mapping[str, int] | None = None,
) -> list[DayOutlook]:
    """Return what so many working days amount to, the one at hand first."""
    return [day.outlook for day in roll_days(shop, floor, now, days, finished=finished)]


def _outlook(
    shop: Shop, floor: Floor, plan: Plan, date: dt.date, now: dt.datetime, until: dt.datetime
) -> DayOutlook:
    from floorboard.planning.hands import hands

    works = [task for task in plan.tasks if task.start < until]
    finished = [c for c in plan.castings if c.finished_at and now <= c.finished_at <= until]
    spans = [span for person in hands(shop, floor, now, until).values() for span in person]
    return DayOutlook(
        date=date,
        begun=sum(task.kind == "ready" and not task.fixed for task in works),
        demolded=sum(task.kind == "demold" and task.end <= until for task in works),
        finished=len(finished),
        hands_on_seconds=sum((task.end - max(now, task.start)).total_seconds() for task in works),
        hands_seconds=sum((end - start).total_seconds() for start, end in spans),
    )
