"""What if: castings a shift and the cost of one, for other molds, people, accelerator, buckets.

Each scenario is planned over a few days from an empty shop, everything wanted; the first day only
fills the molds, the others count. More of something can always be left unused, so along an axis
of molds or people a figure is never below the one before it. Scenarios that come to the same shop
are planned once, so they cannot differ by what a search happened to find in its time.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from pydantic import Field

from floorboard.floor.floor import Floor
from floorboard.planning.days_ahead import roll_days
from floorboard.planning.plan import PlanValue
from floorboard.planning.promise import grams_for_one
from floorboard.planning.scenario import Scenario, supposed
from floorboard.planning.side_processes import map_beside
from floorboard.planning.solution import Limits
from floorboard.shop.calendar import stretches
from floorboard.shop.counted import counted, people_counted

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from floorboard.planning.days_ahead import PlannedDay
    from floorboard.shop.shop import Shop

Axis = Literal["molds", "people", "accelerator_percent", "largest_batch_grams"]

DAYS = 3

# Where all that are added after it add less than this share of the castings, they add nothing.
NOTHING = 0.05


class WhatIfRow(PlanValue):
    """One scenario and what it comes to, a working day on average."""

    name: str
    molds: int
    people: int
    accelerator_percent: float | None
    largest_batch_grams: float | None
    castings_per_shift: float
    hands_used: float = Field(description="share of the hands' time that is used, 0-1")
    labour_cost: float = Field(description="of a shift of all people, in the shop's currency")
    material_cost: float = Field(description="of the castings of a shift")
    cost_per_casting: float | None = Field(description="labour and material; None without castings")
    notes: tuple[str, ...] = ()


class WhatIf(PlanValue):
    """A table of scenarios and what it says."""

    currency: str
    rows: tuple[WhatIfRow, ...]
    sentences: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Case:
    """A scenario and the shop as it supposes it."""

    shop: Shop
    scenario: Scenario
    now: dt.datetime
    seconds: float


def along(axis: Axis, values: Sequence[float]) -> list[Scenario]:
    """Return one scenario for each value of an axis."""
    names: dict[Axis, Callable[[float], str]] = {
        "molds": lambda value: counted(value, "mold"),
        "people": lambda value: counted(value, "person", "people"),
        "accelerator_percent": "{:g} % accelerator".format,
        "largest_batch_grams": "buckets of {:g} g".format,
    }
    whole = axis in {"molds", "people"}
    return [
        Scenario.model_validate({"name": names[axis](value), axis: int(value) if whole else value})
        for value in values
    ]


def what_if(
    shop: Shop,
    now: dt.datetime,
    scenarios: Sequence[Scenario],
    *,
    seconds: float = 1.0,
    processes: int | None = None,
) -> WhatIf:
    """Return what each scenario comes to.

    Parameters
    ----------
    now
        Aware UTC; the days planned are the working days from then on.
    scenarios
        Named suppositions; `along` makes a row of them.
    seconds
        For about how long the plan of each day is bettered (`Limits.of_work`: the same plan on a
        busy machine); 0 takes the first plan of each.
    processes
        How many scenarios at once; by default one a core, 1 to stay in this process.
    """
    shops = [supposed(shop, scenario) for scenario in scenarios]
    first_of = [shops.index(supposition) for supposition in shops]
    apart = sorted(set(first_of))
    cases = [_Case(shops[place], scenarios[place], now, seconds) for place in apart]
    planned = dict(zip(apart, map_beside(_row, cases, processes), strict=True))
    raised = _never_below([planned[first] for first in first_of])
    rows = [_named(row, scenario) for row, scenario in zip(raised, scenarios, strict=True)]
    return WhatIf(currency=shop.shop.currency, rows=tuple(rows), sentences=tuple(_sentences(rows)))


def _row(case: _Case) -> WhatIfRow:
    shop, scenario = case.shop, case.scenario
    limits = Limits.of_work(case.seconds) if case.seconds > 0 else None
    days = list(roll_days(shop, Floor(), case.now, DAYS, limits=limits))
    told = days[1:] or days
    castings = sum(day.outlook.demolded for day in told) / max(1, len(told))
    labour = sum(_labour(shop, day) for day in told) / max(1, len(told))
    material = _material(shop, told) / max(1, len(told))
    hands = sum(day.outlook.hands_seconds for day in told)
    notes = {note for day in days for note in day.plan.notes}
    return WhatIfRow(
        name=scenario.name,
        molds=sum(mold.in_service for mold in shop.molds.values()),
        people=len(shop.people),
        accelerator_percent=scenario.accelerator_percent,
        largest_batch_grams=scenario.largest_batch_grams,
        castings_per_shift=round(castings, 2),
        hands_used=round(sum(d.outlook.hands_on_seconds for d in told) / hands, 3) if hands else 0,
        labour_cost=round(labour, 2),
        material_cost=round(material, 2),
        cost_per_casting=round((labour + material) / castings, 2) if castings else None,
        notes=tuple(sorted(notes)),
    )


def _named(row: WhatIfRow, scenario: Scenario) -> WhatIfRow:
    """Return the row of a shop as that of a scenario which comes to the same shop."""
    return row.model_copy(
        update={
            "name": scenario.name,
            "accelerator_percent": scenario.accelerator_percent,
            "largest_batch_grams": scenario.largest_batch_grams,
        }
    )


def _labour(shop: Shop, day: PlannedDay) -> float:
    """Return what the hands of a day cost, busy or idle."""
    start = day.plan.made_at
    end = start + dt.timedelta(days=1)
    total = 0.0
    for person in shop.people.values():
        spans = stretches(person, shop.shop.zone, start, end)
        hours = sum((last - first).total_seconds() for first, last in spans) / 3600
        total += hours * person.hourly
    return total


def _material(shop: Shop, days: Sequence[PlannedDay]) -> float:
    """Return the price of the material of the castings demolded on some days."""
    known: dict[str, float] = {}
    total = 0.0
    for day in days:
        for serial, casting in day.after.castings.items():
            before = day.before.castings.get(serial)
            fresh = before is None or before.demolded_at is None
            if casting.demolded_at is None or not fresh:
                continue
            piece = casting.piece_id
            if piece not in known:
                known[piece] = _price(shop, piece)
            total += known[piece]
    return total


def _price(shop: Shop, piece: str) -> float:
    grams = grams_for_one(shop, piece)
    return sum(amount * float(shop.materials[key].price or 0.0) for key, amount in grams.items())


def _never_below(rows: list[WhatIfRow]) -> list[WhatIfRow]:
    """Give a row the better figures of one with only fewer molds or people: it can do as well."""
    found: list[WhatIfRow] = []
    for row in rows:
        most = max(
            (other for other in rows if _only_more(other, row)),
            key=lambda other: other.castings_per_shift,
            default=row,
        )
        castings, material = most.castings_per_shift, most.material_cost
        if castings > row.castings_per_shift:
            cost = round((row.labour_cost + material) / castings, 2)
            row = row.model_copy(
                update={
                    "castings_per_shift": castings,
                    "material_cost": material,
                    "cost_per_casting": cost,
                }
            )
        found.append(row)
    return found


def _only_more(before: WhatIfRow, row: WhatIfRow) -> bool:
    same = (
        before.accelerator_percent == row.accelerator_percent
        and before.largest_batch_grams == row.largest_batch_grams
    )
    more = (row.molds - before.molds, row.people - before.people)
    return same and min(more) >= 0 and max(more) > 0


def _sentences(rows: list[WhatIfRow]) -> list[str]:
    found = []
    for what, others in (("mold", "people"), ("person", "molds")):
        count = "molds" if what == "mold" else "people"
        series = [row for row in rows if getattr(row, others) == getattr(rows[0], others)]
        series = [row for row in series if _plain(row)]
        if len({getattr(row, count) for row in series}) > 1:
            series.sort(key=lambda row: getattr(row, count))
            found += _knee(series, what, count)
    costed = [row for row in rows if row.cost_per_casting]
    if len(costed) > 1:
        best = min(costed, key=lambda row: row.cost_per_casting or 0.0)
        found.append(f"A casting costs least with {best.name}: {best.cost_per_casting:.2f}.")
    return found


def _plain(row: WhatIfRow) -> bool:
    return row.accelerator_percent is None and row.largest_batch_grams is None


def _knee(series: list[WhatIfRow], what: str, count: str) -> list[str]:
    """Say from which number on one more adds nothing."""
    most = series[-1].castings_per_shift
    enough = next(row for row in series if row.castings_per_shift >= most * (1 - NOTHING))
    number = getattr(enough, count)
    some = counted(number, what, count)
    if enough is series[-1]:
        return [f"Up to {some} each one still adds castings: {most:g} a shift at {number}."]
    fixed = counted(enough.molds, "mold")
    if what == "mold":
        fixed = people_counted(enough.people)
        busy = f"{'keeps' if number == 1 else 'keep'} {fixed} busy"
    else:
        busy = f"{'is' if number == 1 else 'are'} enough for {fixed}"
    return [
        f"{some} {busy} ({enough.castings_per_shift:g} castings a shift, hands used "
        f"{enough.hands_used:.0%}); {_ordinal(number + 1)} {what} adds nothing."
    ]


def _ordinal(number: int) -> str:
    ending = (
        "th" if 10 <= number % 100 <= 20 else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    )
    article = "an" if number in {8, 11, 18} else "a"
    return f"{article} {number}{ending}"


__all__ = ["Axis", "Scenario", "WhatIf", "WhatIfRow", "along", "what_if"]
