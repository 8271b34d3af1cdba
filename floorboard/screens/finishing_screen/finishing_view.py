"""What the finishing screen shows at a moment: rows, the chosen casting's details. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from floorboard.mixing.weight_text import weight_text
from floorboard.screens.countdown import length_text

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Collection

    from floorboard.floor.casting import Casting
    from floorboard.floor.floor import Floor
    from floorboard.floor.standing import State
    from floorboard.records.finishing_model import (
        DryLine,
        FinishingLine,
        FinishingQueue,
        FinishingState,
    )
    from floorboard.shop.shop import Shop

# Each state of the queue is drawn like one of the floor's; its own word says which it is.
LOOKS: dict[FinishingState, State] = {
    "in hand": "in hand",
    "window lost": "window lost",
    "closing": "closing",
    "ready": "due",
    "wait": "resting",
    "to weigh": "soon",
    "drying": "curing",
    "curing": "curing",
    "set aside": "set aside",
}
LAST_WEIGHINGS = 4


@dataclass(frozen=True, slots=True)
class FinishingRow:
    """One casting of the queue. `time` counts to what `counts_to` says."""

    number: int
    casting: str
    piece: str
    order: str
    state: FinishingState
    look: State
    step: int
    step_name: str
    time: str
    counts_to: str
    sentence: str
    marked: bool = False
    shares: int = 0


@dataclass(frozen=True, slots=True)
class Details:
    """What there is to say of one casting, in sentences, the most wanted first."""

    head: str
    sentences: tuple[str, ...]


def finishing_rows(
    shop: Shop, queue: FinishingQueue, now: dt.datetime, marked: Collection[str] = ()
) -> list[FinishingRow]:
    """Return the rows of the queue, numbered from 1 in the order in which they ask for hands."""
    shares = {
        casting: len(session.castings) for session in queue.sessions for casting in session.castings
    }
    rows = []
    for place, line in enumerate(queue.castings):
        time, counts_to = _counts_to(line, now)
        order = shop.orders.get(line.order or "")
        rows.append(
            FinishingRow(
                number=place + 1,
                casting=line.casting,
                piece=line.name,
                order=(order.name or line.order or "") if order is not None else "",
                state=line.state,
                look=LOOKS[line.state],
                step=line.step,
                step_name=line.step_name,
                time=time,
                counts_to=counts_to,
                sentence=line.sentence,
                marked=line.casting in marked,
                shares=shares.get(line.casting, 0),
            )
        )
    return rows


def _counts_to(line: FinishingLine, now: dt.datetime) -> tuple[str, str]:
    """Return a row's time and in words what it counts to."""
    if line.state == "window lost" and line.closes_at is not None:
        return length_text((line.closes_at - now).total_seconds()), "past closing"
    if line.state in {"ready", "closing", "wait"} and line.closes_at is not None:
        return length_text((line.closes_at - now).total_seconds()), "to closing"
    if line.drying is not None and line.drying.dry is not True and line.state != "in hand":
        return _to_dry(line.drying, line, now)
    if line.state in {"drying", "curing"}:
        return length_text((line.opens_at - now).total_seconds()), "to opening"
    if line.state in {"ready", "to weigh", "wait"}:
        return length_text((now - line.opens_at).total_seconds()), "open"
    return "", ""


def _to_dry(drying: DryLine, line: FinishingLine, now: dt.datetime) -> tuple[str, str]:
    if drying.likely_at is not None and drying.likely_at > now:
        return length_text((drying.likely_at - now).total_seconds()), "likely dry"
    if line.opens_at > now:
        return length_text((line.opens_at - now).total_seconds()), "to opening"
    if drying.weigh_again_at is not None and drying.weigh_again_at > now:
        return length_text((drying.weigh_again_at - now).total_seconds()), "weigh again"
    return "", "weigh now"


def details(shop: Shop, floor: Floor, line: FinishingLine, now: dt.datetime) -> Details:
    """Return what there is to say of a casting in the queue."""
    casting = floor.castings[line.casting]
    zone = ZoneInfo(shop.shop.zone)
    said = [line.sentence] if line.sentence else []
    if line.state == "in hand":
        who = casting.steps[line.step].person
        name = shop.people[who].name if who in shop.people else "someone"
        said.append(f"{name} has it in hand.")
    said.append(_when(line, zone, now))
    if line.drying is not None:
        said += _drying(shop, casting, line.drying, zone, now)
    if casting.walls_mm:
        walls = ", ".join(f"{wall:.1f}" for wall in casting.walls_mm)
        said.append(f"Walls read: {walls} mm.")
    if casting.rework:
        times = "once" if casting.rework == 1 else f"{casting.rework} times"
        said.append(f"Sent back {times}.")
    said += [flag.message for flag in casting.flags[-2:]]
    return Details(
        f"{line.casting} {line.name}: {line.step_name}", tuple(text for text in said if text)
    )


def _when(line: FinishingLine, zone: ZoneInfo, now: dt.datetime) -> str:
    opened = "Open since" if line.opens_at <= now else "Opens at"
    text = f"{opened} {moment_text(line.opens_at, zone, now)}"
    if line.closes_at is not None:
        text += f", closes at {moment_text(line.closes_at, zone, now)}"
    return f"{text}."


def _drying(
    shop: Shop, casting: Casting, drying: DryLine, zone: ZoneInfo, now: dt.datetime
) -> list[str]:
    said = []
    if drying.likely_at is not None and drying.dry is not True:
        text = f"Dry about {moment_text(drying.likely_at, zone, now)}"
        if drying.earliest_at is not None and drying.latest_at is not None:
            first = moment_text(drying.earliest_at, zone, now)
            last = moment_text(drying.latest_at, zone, now)
            if first != last:
                text += f", between {first} and {last}"
        said.append(f"{text}.")
    recent = casting.weighings[-LAST_WEIGHINGS:]
    if recent:
        step = float(shop.shop.scale_resolution)
        parts = [
            f"{weight_text(w.grams, step, shop.shop.units)} at {moment_text(w.at, zone, now)}"
            for w in recent
        ]
        said.append(f"Weighed {'; '.join(parts)}.")
    if drying.left_out:
        weighings = "weighing" if drying.left_out == 1 else "weighings"
        said.append(f"{drying.left_out} {weighings} left out as impossible.")
    return said


def moment_text(moment: dt.datetime, zone: ZoneInfo, now: dt.datetime) -> str:
    """Return a moment in the shop's zone: the time alone if it is today."""
    local = moment.astimezone(zone)
    if local.date() == now.astimezone(zone).date():
        return f"{local:%H:%M}"
    return f"{local:%a %H:%M}"


def session_of(queue: FinishingQueue, casting: str) -> tuple[str, ...]:
    """Return the castings whose next step can be done together with this one's; itself if none."""
    for session in queue.sessions:
        if casting in session.castings:
            return session.castings
    return (casting,)
