"""What the board calls people for, at a moment. Pure.

Four kinds, named as the states of molds are: *soon* (time to get ready to weigh), *due*, *closing*
(a window, or the working time of a wet batch, is about to end) and *window lost*. A call is about
one thing; acknowledging it hushes that call and no other. The screen shows the first of the list.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from floorboard.floor.waits import next_wait

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from floorboard.floor.batch import Batch
    from floorboard.floor.casting import Casting
    from floorboard.floor.floor import Floor
    from floorboard.floor.waits import Wait
    from floorboard.planning.plan import Plan
    from floorboard.shop.shop import Shop

CallKind = Literal["soon", "due", "closing", "window lost"]

# Called so long before weighing has to begin: enough to put down what is in hand and walk over.
NOTICE_SECONDS = 120.0
# A window calls when what is left of it is less than this, or than it takes to weigh and mix ...
CLOSING_SECONDS = 600.0
SPARE_SECONDS = 120.0
# ... but not while a plan that keeps it is being followed, give or take so much.
LATE_SECONDS = 60.0
# A wet batch calls when so much of its working time is left.
SETTING_SECONDS = 120.0
# News of a loss goes before what is due; after so long it no longer stands in the way.
FRESH_SECONDS = 60.0


@dataclass(frozen=True, slots=True)
class Call:
    """One call.

    `moment` is what it counts to: the planned start, or the closing of the window. `subject` is a
    casting, a batch or a mold, `step` what it waits for. `words` say it without the countdown.
    """

    kind: CallKind
    subject: str
    step: str
    mold: int | None
    words: str
    moment: dt.datetime
    person: str | None = None
    rank: int = 0

    @property
    def key(self) -> str:
        """The name under which it is acknowledged."""
        return f"{self.kind}/{self.subject}/{self.step}"


@dataclass(frozen=True, slots=True)
class Start:
    """When and by whom a plan has something begun."""

    at: dt.datetime
    person: str


@dataclass(frozen=True, slots=True)
class Waiting:
    """A casting that may call: what it waits for, when that is to begin, and after what lead."""

    casting: Casting
    mold: int | None
    wait: Wait
    start: Start | None
    lead_seconds: float
    in_hand: str | None

    @property
    def begin(self) -> dt.datetime:
        """When its work has to begin: as planned, else early enough to weigh and mix."""
        if self.start is not None:
            return self.start.at
        return self.wait.opens_at - dt.timedelta(seconds=self.lead_seconds)


@dataclass(frozen=True, slots=True)
class CallBasis:
    """What calls hang on as long as floor and plan stay as they are; only the time goes on."""

    castings: tuple[Waiting, ...]
    molds: tuple[Call, ...]
    batches: tuple[tuple[Batch, int | None], ...]
    planned: bool

    @classmethod
    def of(cls, shop: Shop, floor: Floor, plan: Plan) -> CallBasis:
        """Return the basis of the calls of a floor and its plan."""
        in_hand = {task.person: task.kind for task in floor.all_in_hand()}
        return cls(
            castings=tuple(_waiting(shop, floor, plan, in_hand)),
            molds=tuple(_molds(shop, floor, plan, in_hand)),
            batches=tuple((b, _next_mold(shop, floor, b)) for b in floor.open_batches()),
            planned=plan.status != "none",
        )

    def at(self, now: dt.datetime) -> list[Call]:
        """Return the calls at a moment, the most urgent first."""
        found = [call for call in self.molds if call.moment <= now]
        for waiting in self.castings:
            call = _of_casting(waiting, now, planned=self.planned)
            if call is not None and not _can_wait(call, waiting.wait, waiting.in_hand, now):
                found.append(call)
        for batch, mold in self.batches:
            call = _of_batch(batch, mold, now)
            if call is not None:
                found.append(call)
        return sorted(found, key=lambda c: (c.rank, c.moment, c.mold or 0, c.subject))


def _waiting(shop: Shop, floor: Floor, plan: Plan, in_hand: Mapping[str, str]) -> Iterator[Waiting]:
    starts = _planned(floor, plan)
    in_buckets = {
        (s.casting, s.layer) for batch in floor.open_batches() for s in floor.still_served(batch)
    }
    for casting in floor.open_castings():
        wait = next_wait(casting)
        if wait is None or wait.begun_at is not None or wait.kind == "ready":
            continue
        in_bucket = wait.kind == "layer" and (casting.serial, wait.index) in in_buckets
        if casting.set_aside or in_bucket:
            continue
        start = starts.get((casting.serial, wait.kind, wait.index))
        mold = shop.molds.get(casting.mold)
        yield Waiting(
            casting=casting,
            mold=mold.number if mold is not None and casting.in_mold else None,
            wait=wait,
            start=start,
            lead_seconds=_lead_seconds(casting, wait),
            in_hand=in_hand.get(start.person) if start else None,
        )


def _can_wait(call: Call, wait: Wait, in_hand: str | None, now: dt.datetime) -> bool:
    """Return whether a call is no reason to turn from what its person has in hand."""
    if in_hand is None:
        return False
    if call.kind == "soon":
        return in_hand == "batch"
    if call.kind == "due":
        late = (now - call.moment).total_seconds()
        return wait.closes_at is None or late <= LATE_SECONDS
    return False


def _of_casting(waiting: Waiting, now: dt.datetime, *, planned: bool) -> Call | None:
    wait, start = waiting.wait, waiting.start
    kind, moment, rank = _kind(
        wait, waiting.begin, start, now, waiting.lead_seconds, planned=planned
    )
    if kind is None:
        return None
    return Call(
        kind=kind,
        subject=waiting.casting.serial,
        step=f"{wait.kind} {wait.index}",
        mold=waiting.mold,
        words=_words(waiting.casting, wait, kind),
        moment=moment,
        person=start.person if start else None,
        rank=rank,
    )


def _kind(
    wait: Wait,
    begin: dt.datetime,
    start: Start | None,
    now: dt.datetime,
    lead: float,
    *,
    planned: bool,
) -> tuple[CallKind | None, dt.datetime, int]:
    """Return the kind of call, the moment it counts to, and its rank; no kind if none is due."""
    closes = wait.closes_at
    if closes is not None and now > closes:
        return "window lost", closes, _lost_rank(closes, now)
    to_begin = (begin - now).total_seconds()
    if closes is not None:
        late = to_begin <= (-LATE_SECONDS if start and begin <= closes else 0.0)
        if begin > closes:
            late = now >= wait.opens_at
        left = (closes - now).total_seconds()
        if late and left <= max(CLOSING_SECONDS, lead + SPARE_SECONDS):
            return "closing", closes, 0
    if start is None and (planned or wait.kind == "step") and closes is None:
        # The plan leaves it for later, and nothing is lost by that.
        return None, begin, 0
    if to_begin <= 0:
        return "due", begin, 2 if closes is not None else 3
    if wait.kind == "layer" and to_begin <= NOTICE_SECONDS:
        return "soon", begin, 4
    return None, begin, 0


def _lost_rank(lost_at: dt.datetime, now: dt.datetime) -> int:
    return 1 if (now - lost_at).total_seconds() < FRESH_SECONDS else 5


def _lead_seconds(casting: Casting, wait: Wait) -> float:
    """Return how long before it opens the work has to begin: to weigh and mix for a layer."""
    if wait.kind != "layer":
        return 0.0
    return casting.build.mix_of_layer(wait.index).making_seconds


def _words(casting: Casting, wait: Wait, kind: CallKind) -> str:
    if wait.kind == "layer":
        if kind == "window lost":
            return f"recoat window of layer {wait.index + 1} lost"
        if kind == "closing":
            return f"window of layer {wait.index + 1} closing"
        return f"weigh for layer {wait.index + 1}"
    if wait.kind == "demold":
        return "demold"
    step = casting.build.piece.route[wait.index]
    name = step.name or step.kind
    late = {"window lost": " is past its time", "closing": " has to start"}.get(kind, "")
    return f"{name} {casting.serial}{late}"


def _planned(floor: Floor, plan: Plan) -> dict[tuple[str, str, int], Start]:
    """Return when the plan has each casting's steps begun; for a layer, its batch's weighing."""
    molds = {casting.id: casting.mold for casting in plan.castings if casting.new}
    starts: dict[tuple[str, str, int], Start] = {}

    def put(casting: str, kind: str, index: int, start: Start) -> None:
        mold = molds.get(casting)
        begun = floor.casting_in(mold) if mold else None
        starts.setdefault((begun.serial if begun else casting, kind, index), start)

    for batch in plan.batches:
        if not batch.fixed:
            for serving in batch.servings:
                start = Start(batch.start, batch.person)
                put(serving.casting, "layer", serving.layer, start)
    for task in plan.tasks:
        if not task.fixed and task.kind in {"layer", "demold", "step"}:
            for casting in task.castings:
                put(casting, task.kind, task.index, Start(task.start, task.person))
    return starts


def _molds(shop: Shop, floor: Floor, plan: Plan, in_hand: Mapping[str, str]) -> Iterator[Call]:
    """Yield the molds the plan wants cleaned and readied, for people whose hands are free."""
    molds = {casting.id: casting.mold for casting in plan.castings if casting.new}
    for task in plan.tasks:
        if task.kind != "ready" or task.fixed or task.person in in_hand:
            continue
        mold = molds.get(task.castings[0], "")
        if mold in shop.molds and floor.casting_in(mold) is None:
            number = shop.molds[mold].number
            words = "clean and ready it"
            yield Call("due", mold, "ready", number, words, task.start, task.person, rank=3)


def _of_batch(batch: Batch, mold: int | None, now: dt.datetime) -> Call | None:
    sets_at = batch.sets_at
    if sets_at is None or (sets_at - now).total_seconds() > SETTING_SECONDS:
        return None
    over = now > sets_at
    words = f"batch {batch.serial}: working time {'over' if over else 'ending'}"
    kind: CallKind = "window lost" if over else "closing"
    rank = _lost_rank(sets_at, now) if over else 0
    return Call(kind, batch.serial, "batch", mold, words, sets_at, batch.person, rank)


def _next_mold(shop: Shop, floor: Floor, batch: Batch) -> int | None:
    serving = next(iter(floor.still_served(batch)), None)
    casting = floor.castings.get(serving.casting) if serving is not None else None
    mold = shop.molds.get(casting.mold) if casting is not None else None
    return mold.number if mold is not None else None
