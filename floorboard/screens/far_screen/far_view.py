"""What the far view shows at a moment: the next actions of the shop, the most pressing first. Pure.

What fills the screen is what the confirm key logs, for the person it names.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from floorboard.floor.standing import stand_of_casting, standings
from floorboard.usecases.press_words import key_words, press_words
from floorboard.usecases.presses import (
    BEGINNINGS,
    press_for_mold,
    press_in_hand,
    press_planned,
)

if TYPE_CHECKING:
    import datetime as dt

    from floorboard.floor.floor import Floor, InHand
    from floorboard.floor.standing import State
    from floorboard.planning.plan import Plan
    from floorboard.shop.shop import Shop
    from floorboard.usecases.presses import Press

SHOWN = 3
# An action planned further ahead than this is not yet anybody's next.
SOON_SECONDS = 300.0

VERBS = {
    "begin casting": "READY",
    "mold readied": "READY",
    "begin batch": "WEIGH",
    "wet batch": "WET",
    "begin layer": "POUR",
    "end layer": "POUR",
    "begin demold": "DEMOLD",
    "end demold": "DEMOLD",
}


@dataclass(frozen=True, slots=True)
class FarItem:
    """One action: a verb and the mold in capitals, its words, whose it is, its state and its count.

    `seconds` counts to (negative: past) what `counts` says: the start, the closing of the window,
    the end of the working time. None where nothing is to be counted.
    """

    press: Press
    verb: str
    molds: str
    words: str
    key: str
    who: str
    state: State
    seconds: float | None
    counts: str


def far_items(
    shop: Shop,
    floor: Floor,
    plan: Plan,
    now: dt.datetime,
    person: str | None = None,
    chosen: str | None = None,
) -> list[FarItem]:
    """Return the next actions, at most three, the most pressing first.

    Parameters
    ----------
    person
        Show only this person's; None for everyone's.
    chosen
        A mold keyed by its number goes first, whatever the plan says.
    """
    found = _in_hand(shop, floor, plan, now, person)
    # What someone has in hand comes before whatever else is planned for them.
    free_in = {item.press.person: ahead for ahead, item in found}
    found += [
        (max(ahead, free_in.get(item.press.person, ahead)), item)
        for ahead, item in _planned(shop, floor, plan, now, person)
    ]
    found.sort(key=lambda pair: pair[0])
    items = [item for _, item in found]
    if not items:
        items = _unplanned(shop, floor, now, person)
    if chosen is not None:
        who = person or next(iter(shop.people))
        press = press_for_mold(floor, chosen, who)
        if press is not None:
            first = _item(shop, floor, press, now, starts=None)
            items = [first, *(item for item in items if item.press.mold != chosen)]
    return items[:SHOWN]


def _in_hand(
    shop: Shop, floor: Floor, plan: Plan, now: dt.datetime, person: str | None
) -> list[tuple[float, FarItem]]:
    ends: dict[str, dt.datetime] = {}
    for task in plan.tasks:
        if task.fixed:
            ends[task.person] = max(task.end, ends.get(task.person, task.end))
    # A batch goes on setting, whatever its person began besides: it has an entry of its own.
    latest: dict[tuple[str, bool], InHand] = {}
    for hand in floor.all_in_hand():
        if person in {None, hand.person} and hand.person in shop.people:
            place = hand.person, hand.kind == "batch"
            known = latest.get(place)
            if known is None or hand.since > known.since:
                latest[place] = hand
    found: list[tuple[float, FarItem]] = []
    for hand in latest.values():
        press = press_in_hand(floor, hand)
        if press is not None:
            item = _item(shop, floor, press, now, starts=None)
            end = ends.get(press.person)
            found.append(((end - now).total_seconds() if end is not None else 0.0, item))
    return found


def _planned(
    shop: Shop, floor: Floor, plan: Plan, now: dt.datetime, person: str | None
) -> list[tuple[float, FarItem]]:
    found: list[tuple[float, FarItem]] = []
    for task in plan.tasks:
        if len(found) > SHOWN:
            break
        if task.fixed or task.kind == "layer" or person not in {None, task.person}:
            continue
        press = press_planned(floor, plan, task)
        if press is not None and press.person in shop.people:
            starts = (task.start - now).total_seconds()
            item = _item(shop, floor, press, now, starts=starts)
            found.append((starts, item))
    return found


def _unplanned(shop: Shop, floor: Floor, now: dt.datetime, person: str | None) -> list[FarItem]:
    """Return what the molds ask for, without a plan: the most urgent molds that hold a casting."""
    who = person or next(iter(shop.people))
    items = []
    for standing in standings(shop, floor, now):
        if standing.casting is not None and standing.state not in {"set aside", "in hand"}:
            press = press_for_mold(floor, standing.mold, who)
            if press is not None:
                items.append(_item(shop, floor, press, now, starts=standing.seconds_to_open))
    return items


def _item(
    shop: Shop, floor: Floor, press: Press, now: dt.datetime, *, starts: float | None
) -> FarItem:
    seconds, counts, state = _count(floor, press, now, starts)
    return FarItem(
        press=press,
        verb=_verb(floor, press),
        molds=_molds(shop, floor, press),
        words=press_words(shop, floor, press),
        key=key_words(press),
        who=shop.people[press.person].name if press.person in shop.people else "",
        state=state,
        seconds=seconds,
        counts=counts,
    )


def _count(
    floor: Floor, press: Press, now: dt.datetime, starts: float | None
) -> tuple[float | None, str, State]:
    """Return what an action counts to, that in words, and the state it is in."""
    batch = floor.batches.get(press.batch or "")
    if batch is not None and batch.sets_at is not None:
        left = (batch.sets_at - now).total_seconds()
        if left < 0:
            return left, "working time over", "window lost"
        return left, "working time left", "in hand"
    if press.kind not in BEGINNINGS:
        since = next((t.since for t in floor.all_in_hand() if t.person == press.person), None)
        return (-(now - since).total_seconds() if since else None), "in hand for", "in hand"
    closing = _closing(floor, press, now)
    if closing is not None:
        state: State = "window lost" if closing < 0 else "closing"
        return closing, "past closing" if closing < 0 else "window closes in", state
    if starts is None:
        return None, "", "due"
    if starts <= 0:
        return starts, "late by" if starts < 0 else "now", "due"
    return starts, "starts in", "soon" if starts <= SOON_SECONDS else "curing"


def _closing(floor: Floor, press: Press, now: dt.datetime) -> float | None:
    """Return the seconds until the first window of an action closes, if it is closing or lost."""
    least: float | None = None
    for serial in press.castings:
        casting = floor.castings.get(serial)
        if casting is None:
            continue
        state, _, _, to_close = stand_of_casting(casting, now)
        if to_close is not None and state in {"closing", "window lost"}:
            least = to_close if least is None else min(least, to_close)
    return least


def _verb(floor: Floor, press: Press) -> str:
    if press.kind in VERBS:
        return VERBS[press.kind]
    casting = floor.castings[press.castings[0]]
    return casting.build.piece.route[press.index].kind.upper()


def _molds(shop: Shop, floor: Floor, press: Press) -> str:
    """Return the molds an action is about, by number; for a step, how many castings it takes."""
    if press.kind in {"begin step", "end step"}:
        return str(len(press.castings)) if len(press.castings) > 1 else ""
    castings = [floor.castings[serial] for serial in press.castings if serial in floor.castings]
    molds = [casting.mold for casting in castings] or [press.mold]
    numbers = sorted({shop.molds[mold].number for mold in molds if mold in shop.molds})
    return "+".join(str(number) for number in numbers)
