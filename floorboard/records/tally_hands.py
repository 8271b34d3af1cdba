"""Hands used against hands there, by person."""

from __future__ import annotations

import datetime as dt
import zoneinfo
from bisect import bisect_left
from collections import Counter
from dataclasses import dataclass, field
from itertools import chain
from typing import TYPE_CHECKING

from floorboard.records.kpis import worker_efficiency
from floorboard.records.spans import Span, less, merged, span_of, total_seconds
from floorboard.records.tally_counts import last_steps_done
from floorboard.records.tally_model import PersonLine
from floorboard.shop.calendar import day_bounds, stretches

if TYPE_CHECKING:
    from collections.abc import Iterable

    from floorboard.floor import history_rows as h
    from floorboard.records.tally_past import Past, Stretch

# A hands-on task that seems to have lasted longer was ended by a press forgotten till then: what
# of it lies outside the shift is not believed. The shop's own rule, no source.
LONGEST_TASK_SECONDS = 4 * 3600.0


@dataclass(slots=True)
class Hands:
    """One person's stretches, in seconds, and how many tasks had no beginning or no end."""

    there: list[Span] = field(default_factory=list)
    used: list[Span] = field(default_factory=list)
    outside: list[Span] = field(default_factory=list)
    without_beginning: int = 0
    forgotten: int = 0


def hands_of(past: Past, stretch: Stretch) -> dict[str, Hands]:
    """Return the hands of every person of the shop, and of anyone else who worked."""
    people = {key: Hands() for key in past.shop.people}
    spans: dict[str, set[Span]] = {}
    sessions: set[tuple[str | None, str, object]] = set()
    for work in chain(past.works, past.running_over):
        person = work.person
        if person is None:
            continue
        if person not in spans:
            people.setdefault(person, Hands())
            spans[person] = set()
        if work.begun_at is not None:
            spans[person].add((work.begun_at.timestamp(), work.ended_at.timestamp()))
            continue
        key = (person, work.kind, work.ended_at)
        people[person].without_beginning += key not in sessions
        sessions.add(key)
    for person, hands in people.items():
        shift = _shift(past, person, stretch)
        _believe(hands, spans.get(person, set()), shift, stretch)
    return people


def _shift(past: Past, person: str, stretch: Stretch) -> list[Span]:
    """Return when a person was to be there: shift less breaks and absence, from the moment the
    shop was first loaded and as far as now.
    """
    known = past.shop.people.get(person)
    start = max(stretch.start, past.shop_since or stretch.start)
    # The time people were there belongs to all orders together, not to one.
    if known is None or past.order is not None or stretch.until <= start:
        return []
    free = stretches(known, past.shop.shop.zone, start, stretch.until)
    away = merged(absences(past.presences, person, stretch))
    return less([span_of(*one) for one in free], away)


def silent_days(past: Past, hands: dict[str, Hands], stretch: Stretch) -> list[dt.date]:
    """Return the local days, over by now, that had hands there and yet no work in the log."""
    zone = zoneinfo.ZoneInfo(past.shop.shop.zone)
    there = {
        dt.datetime.fromtimestamp(start, zone).date()
        for theirs in hands.values()
        for start, _ in theirs.there
    }
    ended = sorted(work.ended_at for work in past.works)
    begun = sorted(row.begun_at for row in past.castings)
    found = []
    for date in sorted(there):
        day = day_bounds(date, past.shop.shop.zone)
        if day.end_utc > stretch.until:
            continue
        if not any(
            bisect_left(moments, day.start_utc) < bisect_left(moments, day.end_utc)
            for moments in (ended, begun)
        ):
            found.append(date)
    return found


def absences(presences: Iterable[h.Presence], person: str, stretch: Stretch) -> list[Span]:
    """Return when a person was away, cut to the stretch."""
    low, high = span_of(stretch.start, stretch.until)
    found: list[Span] = []
    left: float | None = None
    for presence in presences:
        if presence.person != person:
            continue
        at = presence.at.timestamp()
        if presence.left:
            left = at if left is None else left
        elif left is not None:
            found.append((left, at))
            left = None
    if left is not None:
        found.append((left, high))
    return [(max(low, start), min(high, end)) for start, end in found if end > low and start < high]


def _believe(hands: Hands, spans: Iterable[Span], shift: list[Span], stretch: Stretch) -> None:
    """Cut the tasks to the stretch, and overlong ones to the shift."""
    low, high = span_of(stretch.start, stretch.end)
    worked: list[Span] = []
    for start, end in spans:
        cut = (max(start, low), min(end, high))
        if end - start > LONGEST_TASK_SECONDS:
            hands.forgotten += 1
            worked += less([cut], less([cut], shift))
        else:
            worked.append(cut)
    hands.used = merged(worked)
    hands.outside = less(hands.used, shift)
    hands.there = merged([*shift, *hands.used])


def person_lines(past: Past, hands: dict[str, Hands], stretch: Stretch) -> tuple[PersonLine, ...]:
    """Return what each person did; people with neither shift nor work are left out."""
    did: dict[str, Counter[str]] = {}
    serials = {row.serial for row in past.castings}
    for row in past.castings:
        if row.begun_by is not None and stretch.start <= row.begun_at < stretch.end:
            did.setdefault(row.begun_by, Counter())["begun"] += 1
    for work in past.works:
        if work.person is None or work.casting not in serials:
            continue
        if work.kind in _COLUMNS:
            did.setdefault(work.person, Counter())[_COLUMNS[work.kind]] += 1
    for kind, word in (("seal", "sealed"), ("pack", "packed")):
        for work in last_steps_done(past, kind).values():
            if work.person is not None:
                did.setdefault(work.person, Counter())[word] += 1
    lines = []
    for person, theirs in hands.items():
        counts = did.get(person, Counter())
        if not counts and not theirs.there:
            continue
        known = past.shop.people.get(person)
        used, there = total_seconds(theirs.used) / 60, total_seconds(theirs.there) / 60
        lines.append(
            PersonLine(
                person=person,
                name=known.name if known is not None else person,
                begun=counts["begun"],
                layers=counts["layers"],
                demolded=counts["demolded"],
                steps=counts["steps"],
                sealed=counts["sealed"],
                packed=counts["packed"],
                used_minutes=used,
                there_minutes=there,
                outside_shift_minutes=total_seconds(theirs.outside) / 60,
                worker_efficiency=worker_efficiency(min(used, there), there),
            )
        )
    return tuple(lines)


_COLUMNS = {"layer": "layers", "demold": "demolded", "step": "steps"}
