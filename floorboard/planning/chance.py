"""How likely the plan is to come out: thousands of days with the spread that real work has.

Each simulated day does the plan's tasks in their order, none before its planned start, each for as
long as chance has it; cures, windows, working times, molds and stations hold as they are. Who is
late hands the delay on to whatever waits for them. All days are worked at once, task by task.
"""

from __future__ import annotations

import time
from typing import TYPE_CHECKING, Any

from pydantic import AwareDatetime, Field

from floorboard.planning.day_links import DayLinks
from floorboard.planning.horizon import look_ahead
from floorboard.planning.pace import STATED, Pace, log_normal
from floorboard.planning.plan import PlanValue, TaskKind
from floorboard.shop.calendar import due_utc

if TYPE_CHECKING:
    from collections.abc import Mapping

    from floorboard.floor.floor import Floor
    from floorboard.planning.day_links import Linked
    from floorboard.planning.plan import Plan
    from floorboard.shop.shop import Shop

    Days = Any
    """An array of one number a simulated day."""

DAYS = 10_000
MOST_HURTING = 5
NEVER = 1e9

# A plan never works into a break; people who are late finish what they have before them, so far.
INTO_THE_BREAK = 600.0


class CountChance(PlanValue):
    """The chance that at least so many castings are demolded by the end of the day."""

    castings: int
    chance: float


class OrderChance(PlanValue):
    """The chance that an order is finished by its due date; None where the plan does not reach."""

    order: str
    wanted: int
    chance: float | None


class Hurting(PlanValue):
    """A task whose delay hurts most."""

    kind: TaskKind
    person: str
    start: AwareDatetime
    castings: tuple[str, ...]
    index: int
    minutes_per_minute: float = Field(
        description="minutes by which all castings together are later for each minute it is"
    )
    castings_per_hour: float = Field(
        description="castings fewer by the end of the day for each hour"
    )


class Chance(PlanValue):
    """What the simulated days say of a plan."""

    seq: int = Field(description="of the plan")
    days: int
    planned: int = Field(description="castings demolded by the end of the day, as planned")
    expected: float
    chance_of_planned: float
    counts: tuple[CountChance, ...] = Field(
        description="from the count that is nearly sure upwards"
    )
    orders: tuple[OrderChance, ...]
    lost_castings: float = Field(description="castings lost to windows and set batches, on average")
    hurting: tuple[Hurting, ...]
    seed: int
    runtime_seconds: float


def chance_of(
    shop: Shop,
    floor: Floor,
    plan: Plan,
    paces: Mapping[TaskKind, Pace] | None = None,
    *,
    days: int = DAYS,
    seed: int = 1,
) -> Chance:
    """Return the chance of the day's count and of each order, and what hurts most.

    Parameters
    ----------
    paces
        How long each kind of work takes against its planned time (`pace.paces_of`); as planned
        with a spread of 15 % where a kind is missing.
    days
        Days to simulate.
    """
    import numpy as np

    begin = time.monotonic()
    links = DayLinks(shop, floor, plan)
    day_end = links.known.at(look_ahead(shop, floor, plan.made_at).day_end)
    ratios = _ratios(links, paces or {}, days, seed)
    ends, alive = _simulate(links, ratios)
    demolds = [p for p, work in enumerate(links.works) if work.task.kind == "demold"]
    done = np.zeros(days, dtype=np.int32)
    for place in demolds:
        done += (ends[place] <= day_end) & alive[links.tasks[place].castings[0]]
    planned = sum(links.works[place].end <= day_end for place in demolds)
    begun = [task.castings[0] for task in links.tasks if task.castings]
    lost = sum(float(np.mean(~alive[casting])) for casting in set(begun))
    return Chance(
        seq=plan.seq,
        days=days,
        planned=planned,
        expected=round(float(done.mean()), 2),
        chance_of_planned=float((done >= planned).mean()),
        counts=tuple(_counts(done, planned)),
        orders=tuple(_orders(shop, plan, links, ends, alive)),
        lost_castings=round(lost, 3),
        hurting=tuple(_hurting(links, ratios, ends, alive, done, demolds)),
        seed=seed,
        runtime_seconds=time.monotonic() - begin,
    )


def _ratios(links: DayLinks, paces: Mapping[TaskKind, Pace], days: int, seed: int) -> Days:
    """Return actual over planned time of every task (rows) on every day (columns)."""
    import numpy as np

    rng = np.random.default_rng(seed)
    drawn = rng.standard_normal((len(links.works), days), dtype=np.float32)
    for place, work in enumerate(links.works):
        mean, spread = log_normal(paces.get(work.task.kind, STATED))
        drawn[place] = np.exp(mean + spread * drawn[place])
    return drawn


def _simulate(links: DayLinks, ratios: Days) -> tuple[Days, Days]:
    """Return the end of every task on every day, and whether each casting lives through it."""
    import numpy as np

    days = ratios.shape[1]
    ends = np.zeros((len(links.tasks), days))
    alive = np.ones((max(1, len(links.castings)), days), dtype=bool)
    for place, task in enumerate(links.tasks):
        start = np.full(days, max(task.start, 0.0))
        for before, seconds in task.after:
            np.maximum(start, ends[before] + seconds, out=start)
        if task.lies_in:
            start = _within(task, start)
        _lose(task, start, ends, alive)
        goes_on = np.any([alive[c] for c in task.castings], axis=0) if task.castings else True
        end = start + task.length * ratios[place] * goes_on
        if task.wet_by is not None:
            making, seconds = task.wet_by
            for casting in task.castings:
                alive[casting] &= end <= ends[making] + seconds
        ends[place] = np.minimum(end, NEVER)
    return ends, alive


def _within(task: Linked, start: Days) -> Days:
    """Move starts that a break or the end of a shift would cut to the next stretch."""
    import numpy as np

    found = np.full_like(start, NEVER)
    for first, last in reversed(task.lies_in):
        at = np.maximum(start, first)
        fits = at + task.whole <= last + INTO_THE_BREAK
        found = np.where(fits, at, found)
    return found


def _lose(task: Linked, start: Days, ends: Days, alive: Days) -> None:
    """Mark the castings lost on days on which a window has closed."""
    if task.within is not None:
        before, seconds = task.within
        for casting in task.castings:
            alive[casting] &= start <= ends[before] + seconds
    if task.closes is not None:
        for casting in task.castings:
            alive[casting] &= start <= task.closes


def _counts(done: Days, planned: int) -> list[CountChance]:
    found = []
    for castings in range(planned, -1, -1):
        chance = float((done >= castings).mean())
        found.append(CountChance(castings=castings, chance=round(chance, 4)))
        if chance > 0.995:
            break
    return found[::-1]


def _orders(shop: Shop, plan: Plan, links: DayLinks, ends: Days, alive: Days) -> list[OrderChance]:
    import numpy as np

    found = []
    for outlook in plan.orders:
        missing = outlook.wanted - outlook.done
        mine = [c for c in plan.castings if c.order == outlook.order and c.finished_at is not None]
        if missing <= 0:
            found.append(OrderChance(order=outlook.order, wanted=outlook.wanted, chance=1.0))
            continue
        if len(mine) < missing or outlook.order not in shop.orders:
            found.append(OrderChance(order=outlook.order, wanted=outlook.wanted, chance=None))
            continue
        due = links.known.at(due_utc(shop.orders[outlook.order], shop.shop.zone))
        times = [_finish(links, casting.id, ends, alive) for casting in mine]
        last = np.sort(np.array(times), axis=0)[missing - 1]
        chance = round(float((last <= due).mean()), 4)
        found.append(OrderChance(order=outlook.order, wanted=outlook.wanted, chance=chance))
    return found


def _finish(links: DayLinks, casting: str, ends: Days, alive: Days) -> Days:
    """Return when a casting's last task is over; never on days on which it is lost."""
    import numpy as np

    number = links.castings.index(casting)
    places = [place for place, task in enumerate(links.tasks) if number in task.castings]
    if not places:
        return np.zeros(ends.shape[1])
    return np.where(alive[number], ends[places[-1]], NEVER)


def _hurting(
    links: DayLinks, ratios: Days, ends: Days, alive: Days, done: Days, demolds: list[int]
) -> list[Hurting]:
    """Return the tasks whose delay costs the others most, by regression over the days."""
    import numpy as np

    if not demolds or ratios.shape[1] < 2:
        return []
    late = np.zeros(ratios.shape[1])
    for place in demolds:
        delay = np.minimum(ends[place] - links.works[place].end, 8 * 3600.0)
        late += np.where(alive[links.tasks[place].castings[0]], delay, 0.0)
    lengths = np.array([task.length for task in links.tasks])
    # Only what takes longer than planned is handed on; nobody starts before the plan says.
    longer = np.maximum(ratios - 1.0, 0.0)
    spread = longer - longer.mean(axis=1, keepdims=True)
    variance = np.maximum((spread**2).mean(axis=1), 1e-12) * np.maximum(lengths, 1e-9)
    cost = (spread @ (late - late.mean())) / ratios.shape[1] / variance
    fewer = -(spread @ (done - done.mean())) / ratios.shape[1] / variance
    order = np.argsort(-(fewer * 3600 * 60 + cost))
    found = []
    for place in order[:MOST_HURTING]:
        if cost[place] <= 0.5 and fewer[place] * 3600 < 0.05:
            continue
        work = links.works[int(place)]
        found.append(
            Hurting(
                kind=work.task.kind,
                person=work.task.person,
                start=work.task.start,
                castings=work.task.castings,
                index=work.task.index,
                minutes_per_minute=round(float(cost[place]), 2),
                castings_per_hour=round(float(fewer[place] * 3600), 2),
            )
        )
    return found
