"""When can so many of a piece be promised, and what binds that date?

The days ahead are planned one after the other, orders already taken first, until the last of the
castings asked for is finished. What binds is found by asking again with more of each: one more
pair of hands, one more mold, no drying, material enough; a gain of some minutes is none.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from pydantic import AwareDatetime, Field

from floorboard.mixing.amounts import made_grams
from floorboard.mixing.batch import batch_for
from floorboard.planning.day_times import grams_of_layer
from floorboard.planning.days_ahead import DayOutlook, roll_days
from floorboard.planning.plan import PlanValue
from floorboard.planning.side_processes import map_beside
from floorboard.shop.base import HIGHEST_NUMBER
from floorboard.shop.build import build_of
from floorboard.shop.calendar import shop_day, stretches
from floorboard.shop.quantities import Duration
from floorboard.shop.shop import ALL_SKILLS, Mold, Order

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from floorboard.floor.floor import Floor
    from floorboard.shop.pieces import Step
    from floorboard.shop.shop import Person, Shop

Binding = Literal["hands", "molds", "drying", "materials"]

ASKED = "asked-for"
FAR = dt.timedelta(days=3650)

# A date that comes forward by less is not bound by that: plans differ by as much by chance.
LEAST_GAIN = dt.timedelta(minutes=30)
MOST_DAYS = 60


class Binds(PlanValue):
    """What holds a promise back: with more of it the date would be earlier."""

    what: Binding
    ready_at: AwareDatetime = Field(description="when all would be finished with more of it")
    gain_seconds: float
    sentence: str


class Shortage(PlanValue):
    """A material there is not enough of for all that is asked."""

    material: str
    needed_grams: float
    on_hand_grams: float
    castings_covered: int
    arrives: AwareDatetime | None = Field(description="if ordered now; None without a lead time")


class Promise(PlanValue):
    """The answer: when the last of them is finished, and what binds that."""

    piece: str
    quantity: int
    asked_at: AwareDatetime
    ready_at: AwareDatetime | None = Field(description="None: not within the days looked at")
    date: dt.date | None = Field(description="the shop's local date of `ready_at`")
    binds: tuple[Binds, ...] = Field(description="strongest first")
    shortages: tuple[Shortage, ...] = ()
    days: tuple[DayOutlook, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Question:
    """What is asked: `covered` castings can be made before `arrives`, the others from then on."""

    piece: str
    quantity: int
    covered: int
    arrives: dt.datetime | None
    finished: Mapping[str, int]
    most_days: int


@dataclass(frozen=True, slots=True)
class _Look:
    """One look ahead; `what` there is more of, nothing ("") for the shop as it is."""

    what: Binding | Literal[""]
    shop: Shop
    floor: Floor
    now: dt.datetime
    question: _Question


def promise(
    shop: Shop,
    floor: Floor,
    now: dt.datetime,
    piece: str,
    quantity: int,
    *,
    on_hand_grams: Mapping[str, float] | None = None,
    finished: Mapping[str, int] | None = None,
    most_days: int = MOST_DAYS,
    explain: bool = True,
    processes: int | None = None,
) -> Promise:
    """Return when so many of a piece can be finished, after all orders already taken.

    Parameters
    ----------
    on_hand_grams
        Stock by material; materials not named are taken to be enough.
    finished
        Castings finished for each order that the floor no longer holds.
    most_days
        Working days to look at.
    explain
        Whether to find out what binds, which takes a few more looks.
    processes
        How many to look with at once; by default one a core, 1 to stay in this process.

    Raises
    ------
    KeyError
        If the shop has no such piece.
    """
    shortages = _shortages(shop, now, piece, quantity, on_hand_grams or {})
    covered = min((short.castings_covered for short in shortages), default=quantity)
    arrivals = [short.arrives for short in shortages]
    never = any(at is None for at in arrivals)
    arrives = None if never else max((at for at in arrivals if at is not None), default=now)
    question = _Question(piece, quantity, covered, arrives, finished or {}, most_days)
    looks = [_Look("", shop, floor, now, question)]
    if explain:
        looks += _with_more(shop, floor, now, question)
    answers = map_beside(_look, looks, processes)
    ready, days = answers[0]
    binds = _binds(shop, ready, looks[1:], [answer[0] for answer in answers[1:]])
    return Promise(
        piece=piece,
        quantity=quantity,
        asked_at=now,
        ready_at=ready,
        date=shop_day(ready, shop.shop.zone).date if ready is not None else None,
        binds=tuple(binds),
        shortages=tuple(shortages),
        days=tuple(days),
        notes=tuple(_notes(shop, question, ready, shortages)),
    )


def _ready(
    shop: Shop, floor: Floor, now: dt.datetime, question: _Question
) -> tuple[dt.datetime | None, list[DayOutlook]]:
    """Plan day after day until the last casting asked for is finished."""
    days: list[DayOutlook] = []
    short = question.covered < question.quantity
    parts = [(question.covered if short else question.quantity, now, question.arrives)]
    if short and question.arrives is not None:
        parts.append((question.quantity, question.arrives, None))
    for quantity, start, until in parts:
        asked = _with_order(shop, question.piece, quantity, now)
        for day in roll_days(
            asked, floor, max(now, start), question.most_days, finished=question.finished
        ):
            days.append(day.outlook)
            outlook = next(entry for entry in day.plan.orders if entry.order == ASKED)
            if outlook.ready_at is not None and quantity == question.quantity:
                return outlook.ready_at, days
            floor = day.after
            last = max((task.end for task in day.plan.tasks), default=day.plan.until)
            if short and until is not None and last >= until:
                break
    return None, days


def _with_order(shop: Shop, piece: str, quantity: int, now: dt.datetime) -> Shop:
    """Return the shop with what is asked for as its last order; of 0 pieces, as it is."""
    order = Order(name="Asked for", piece=piece, quantity=max(1, quantity), due=(now + FAR).date())
    orders = {**shop.orders, ASKED: order}
    return shop.model_copy(update={"orders": orders})


def _look(look: _Look) -> tuple[dt.datetime | None, list[DayOutlook]]:
    return _ready(look.shop, look.floor, look.now, look.question)


def _with_more(shop: Shop, floor: Floor, now: dt.datetime, question: _Question) -> list[_Look]:
    """Return the question with more of each thing that may bind."""
    piece = question.piece
    looks = [
        _Look("hands", _with_more_hands(shop), floor, now, question),
        _Look("molds", _with_more_molds(shop, piece), floor, now, question),
    ]
    if any(step.passive for step in shop.pieces[piece].route):
        looks.append(_Look("drying", _without_drying(shop, piece), floor, now, question))
    if question.covered < question.quantity:
        enough = dataclasses.replace(question, covered=question.quantity, arrives=None)
        looks.append(_Look("materials", shop, floor, now, enough))
    return looks


def _binds(
    shop: Shop,
    ready: dt.datetime | None,
    looks: Sequence[_Look],
    answers: Sequence[dt.datetime | None],
) -> list[Binds]:
    found = []
    for look, sooner in zip(looks, answers, strict=True):
        if look.what == "" or sooner is None or not _is_gain(sooner, ready):
            continue
        gain = (ready - sooner).total_seconds() if ready is not None else 0.0
        found.append(
            Binds(
                what=look.what,
                ready_at=sooner,
                gain_seconds=gain,
                sentence=_sentence(shop, look.what, sooner, ready),
            )
        )
    return sorted(found, key=lambda entry: entry.ready_at)


def _is_gain(sooner: dt.datetime, ready: dt.datetime | None) -> bool:
    return ready is None or ready - sooner >= LEAST_GAIN


def span_words(span: dt.timedelta) -> str:
    """Return a length of time in the unit a person would say it in: min, h or days."""
    minutes = round(span.total_seconds() / 60)
    if minutes < 60:
        return f"{minutes} min"
    if minutes < 24 * 60:
        return f"{minutes / 60:.1f} h"
    return f"{minutes / (24 * 60):.1f} days"


_MORE = {
    "hands": "one more pair of hands",
    "molds": "one more mold",
    "drying": "no waiting for it to dry and cure after demold",
    "materials": "material enough on hand",
}


def _sentence(shop: Shop, what: Binding, sooner: dt.datetime, ready: dt.datetime | None) -> str:
    date = shop_day(sooner, shop.shop.zone).date
    if ready is None:
        return f"{what.capitalize()} bind: with {_MORE[what]} it could be ready on {date}."
    span = span_words(ready - sooner)
    verb = "binds" if what == "drying" else "bind"
    return f"{what.capitalize()} {verb}: with {_MORE[what]} it would be ready {span} sooner, on {date}."


def _with_more_hands(shop: Shop) -> Shop:
    """Return the shop with one more person of all skills and the longest shifts there are."""
    model = max(shop.people.values(), key=lambda person: _weekly_seconds(shop, person))
    more = model.model_copy(update={"skills": ALL_SKILLS})
    key = next(f"more-{n}" for n in range(1, 1000) if f"more-{n}" not in shop.people)
    return shop.model_copy(update={"people": {**shop.people, key: more}})


def _weekly_seconds(shop: Shop, person: Person) -> float:
    monday = dt.datetime(2026, 3, 9, tzinfo=dt.UTC)
    spans = stretches(person, shop.shop.zone, monday, monday + dt.timedelta(weeks=1))
    return sum((end - start).total_seconds() for start, end in spans)


def _with_more_molds(shop: Shop, piece: str) -> Shop:
    number = max((mold.number for mold in shop.molds.values()), default=0) + 1
    key = next(f"more-{n}" for n in range(1, 10_000) if f"more-{n}" not in shop.molds)
    more = Mold(number=min(number, HIGHEST_NUMBER), piece=piece)
    return shop.model_copy(update={"molds": {**shop.molds, key: more}})


def _without_drying(shop: Shop, piece: str) -> Shop:
    route = tuple(_at_once(step) for step in shop.pieces[piece].route)
    changed = shop.pieces[piece].model_copy(update={"route": route})
    return shop.model_copy(update={"pieces": {**shop.pieces, piece: changed}})


def _at_once(step: Step) -> Step:
    return step.model_copy(update={"takes": Duration(0)}) if step.passive else step


def grams_for_one(shop: Shop, piece: str) -> dict[str, float]:
    """Return what one casting of a piece takes of each material, loss and finishing included.

    Each layer is taken to have a batch of its own, which loses the most.
    """
    build = build_of(shop, piece)
    found: dict[str, float] = {}
    for index, layer in enumerate(build.piece.layers):
        mix = build.mixes[layer.mix]
        batch = batch_for(
            mix, build.materials, grams_of_layer(build, index), resolution_grams=0.001
        )
        share = made_grams(mix, grams_of_layer(build, index)) / max(batch.made_grams, 1e-9)
        for addition in batch.additions:
            grams = addition.exact_grams * share
            found[addition.material] = found.get(addition.material, 0.0) + grams
    for step in build.piece.route:
        for material, mass in step.uses.items():
            found[material] = found.get(material, 0.0) + float(mass)
    return found


def _shortages(
    shop: Shop, now: dt.datetime, piece: str, quantity: int, on_hand: Mapping[str, float]
) -> list[Shortage]:
    found = []
    for material, grams in grams_for_one(shop, piece).items():
        have = on_hand.get(material)
        if have is None or grams <= 0 or have >= grams * quantity:
            continue
        lead = shop.materials[material].lead_time
        found.append(
            Shortage(
                material=material,
                needed_grams=round(grams * quantity, 1),
                on_hand_grams=have,
                castings_covered=int(have // grams),
                arrives=None if lead is None else now + dt.timedelta(seconds=float(lead)),
            )
        )
    return found


def _notes(
    shop: Shop, question: _Question, ready: dt.datetime | None, shortages: list[Shortage]
) -> list[str]:
    notes = []
    for short in shortages:
        name = shop.materials[short.material].name
        arrives = "state its lead time to know more"
        if short.arrives is not None:
            arrives = f"ordered now it arrives on {shop_day(short.arrives, shop.shop.zone).date}"
        notes.append(
            f"{name}: {short.on_hand_grams / 1000:.1f} kg on hand cover {short.castings_covered} of "
            f"{question.quantity}, {short.needed_grams / 1000:.1f} kg are needed; {arrives}."
        )
    if ready is None:
        notes.append(
            f"{question.quantity} of {shop.pieces[question.piece].name} are not finished within "
            f"{question.most_days} working days."
        )
    return notes
