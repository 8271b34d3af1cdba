"""What the charts show: series of numbers and a plain sentence each, before any drawing. Pure."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from floorboard.shop.calendar import shop_day, stretches

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from floorboard.floor.floor import Floor
    from floorboard.floor.history_rows import WorkRow
    from floorboard.planning.plan import Plan
    from floorboard.records.mold_report_model import MoldReport
    from floorboard.records.quality_model import PieceQuality
    from floorboard.shop.shop import Shop

    Span = tuple[dt.datetime, dt.datetime]

HOUR = dt.timedelta(hours=1)
# Hours charted when nobody's shift says which.
FIRST_HOUR, LAST_HOUR = 8, 17
MOST_WEIGHTS = 60
ALMOST = 0.9


@dataclass(frozen=True, slots=True)
class DayCurve:
    """Castings demolded through the day: counts at local hours, done and then planned.

    `done` begins at 0 and ends now; `planned` goes on from there. Hours count on past midnight.
    """

    first_hour: float
    last_hour: float
    now_hour: float
    done: tuple[tuple[float, int], ...]
    planned: tuple[tuple[float, int], ...]
    sentence: str


@dataclass(frozen=True, slots=True)
class HourLoad:
    """One hour of all hands, in minutes: used, planned from now on, and there."""

    label: str
    used: float
    planned: float
    there: float


@dataclass(frozen=True, slots=True)
class HandsLoad:
    """The day's hours in order, and what they say."""

    hours: tuple[HourLoad, ...]
    sentence: str


@dataclass(frozen=True, slots=True)
class MoldBar:
    """A mold's pulls against the pull it is to be retired by; `share` is of that, 1 at the line."""

    label: str
    pulls: int
    limit: int
    share: float


@dataclass(frozen=True, slots=True)
class MoldBars:
    """Molds whose life is known, by number, and what there is to say."""

    bars: tuple[MoldBar, ...]
    sentences: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WeightCurve:
    """A piece's weights at demold in grams, in order, with limits; `signals` are their places."""

    name: str
    grams: tuple[float, ...]
    ewma: tuple[float, ...]
    center: float
    lower: float
    upper: float
    signals: tuple[int, ...]
    sentence: str
    about: str


def day_curve(shop: Shop, plan: Plan, works: Iterable[WorkRow], now: dt.datetime) -> DayCurve:
    """Return the day's demolds, done and planned."""
    day = shop_day(now, shop.shop.zone)
    ends = sorted(w.ended_at for w in works if w.kind == "demold" and w.ended_at <= now)
    ahead = sorted(
        c.demolded_at
        for c in plan.castings
        if c.demolded_at is not None and now < c.demolded_at < day.end_utc
    )
    first, last = _open_hours(shop, now)
    moments = [*ends, *ahead]
    first = min([first, *moments])
    last = max([last, *moments])

    def hour(moment: dt.datetime) -> float:
        local = first.astimezone(ZoneInfo(shop.shop.zone))
        return local.hour + local.minute / 60 + (moment - first).total_seconds() / 3600

    done = [(hour(first), 0), *((hour(end), place) for place, end in enumerate(ends, 1))]
    shown_now = min(max(now, first), last)
    done.append((hour(shown_now), len(ends)))
    planned = [(hour(shown_now), len(ends))]
    planned += [(hour(end), place) for place, end in enumerate(ahead, len(ends) + 1)]
    return DayCurve(
        hour(first),
        hour(last),
        hour(shown_now),
        tuple(done),
        tuple(planned),
        _day_sentence(shop, plan, len(ends), ahead, now),
    )


def _day_sentence(
    shop: Shop, plan: Plan, done: int, ahead: Sequence[dt.datetime], now: dt.datetime
) -> str:
    zone = ZoneInfo(shop.shop.zone)
    so_far = f"{done} demolded by {now.astimezone(zone):%H:%M}"
    if plan.engine == "none":
        return f"{so_far}; no plan yet."
    if not ahead:
        return f"{so_far}; the plan has no more today."
    return f"{so_far}; the plan comes to {done + len(ahead)} by {ahead[-1].astimezone(zone):%H:%M}."


def _open_hours(shop: Shop, now: dt.datetime) -> Span:
    """Return when the day's first shift begins and its last one ends."""
    day = shop_day(now, shop.shop.zone)
    spans = [
        span
        for person in shop.people.values()
        for span in stretches(person, shop.shop.zone, day.start_utc, day.end_utc)
    ]
    if not spans:
        return day.start_utc + FIRST_HOUR * HOUR, day.start_utc + LAST_HOUR * HOUR
    return min(start for start, _ in spans), max(end for _, end in spans)


def hands_load(
    shop: Shop, floor: Floor, plan: Plan, works: Iterable[WorkRow], now: dt.datetime
) -> HandsLoad:
    """Return how much of the hands there each hour of the day uses, done and planned."""
    first, last = _open_hours(shop, now)
    used = list(_used(floor, works, now))
    planned = [(max(task.start, now), task.end) for task in plan.tasks if task.end > now]
    there = [
        span
        for person in shop.people.values()
        for span in stretches(person, shop.shop.zone, first, last)
    ]
    zone = ZoneInfo(shop.shop.zone)
    hours = []
    hour = first - dt.timedelta(minutes=first.astimezone(zone).minute)
    while hour < last:
        span = hour, hour + HOUR
        hours.append(
            HourLoad(
                f"{hour.astimezone(zone):%H}",
                sum(share * minutes_in(one, span) for one, share in used),
                sum(minutes_in(one, span) for one in planned),
                sum(minutes_in(one, span) for one in there),
            )
        )
        hour += HOUR
    return HandsLoad(tuple(hours), _load_sentence(hours, now.astimezone(zone)))


def _used(floor: Floor, works: Iterable[WorkRow], now: dt.datetime) -> Iterator[tuple[Span, float]]:
    """Yield the time of each task done or in hand; one session of several is counted once."""
    for work in works:
        if work.begun_at is not None:
            yield (work.begun_at, work.ended_at), 1 / work.shared_by
    for task in floor.all_in_hand():
        yield (task.since, now), 1.0


def minutes_in(one: Span, other: Span) -> float:
    """Return how many minutes two spans have in common."""
    start, end = max(one[0], other[0]), min(one[1], other[1])
    return max(0.0, (end - start).total_seconds() / 60)


def _load_sentence(hours: Sequence[HourLoad], now: dt.datetime) -> str:
    ahead = [hour for hour in hours if hour.label >= f"{now:%H}" and hour.there > 0]
    if not ahead:
        return "Nobody is there for the rest of the day."
    full = [hour for hour in ahead if hour.used + hour.planned >= ALMOST * hour.there]
    free = sum(max(0.0, hour.there - hour.used - hour.planned) for hour in ahead)
    if len(full) == len(ahead):
        return "Every hour to come is full."
    names = ", ".join(hour.label for hour in full)
    hours_full = "Full hour" if len(full) == 1 else "Full hours"
    busy = f"{hours_full}: {names}. " if full else ""
    return f"{busy}{free:.0f} minutes of hands are still free today."


def mold_bars(report: MoldReport) -> MoldBars:
    """Return the molds against the nearer of the shop's limit and what the log advises."""
    bars = []
    for mold in report.molds:
        limits = [limit for limit in (mold.retire_at, mold.advised_pulls) if limit]
        if limits:
            limit = min(limits)
            number = mold.number if mold.number is not None else mold.mold
            label = f"{number} {mold.piece}"
            bars.append(MoldBar(label, mold.pulls, limit, mold.pulls / limit))
    unknown = len(report.molds) - len(bars)
    said = list(report.sentences)
    if unknown:
        molds = "1 mold is" if unknown == 1 else f"{unknown} molds are"
        said.append(f"The life of {molds} not known yet.")
    return MoldBars(tuple(bars), tuple(said))


def weight_curve(piece: PieceQuality) -> WeightCurve | None:
    """Return a piece's weights on their chart, the latest of them; None if there are too few."""
    chart = piece.chart
    if chart is None:
        return None
    points = chart.points[-MOST_WEIGHTS:]
    return WeightCurve(
        name=piece.name,
        grams=tuple(point.grams for point in points),
        ewma=tuple(point.ewma for point in points),
        center=chart.center,
        lower=chart.lower,
        upper=chart.upper,
        signals=tuple(place for place, point in enumerate(points) if point.signals),
        sentence=chart.sentence,
        about=chart.baseline_sentence,
    )
