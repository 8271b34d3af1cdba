"""From the log to the account of materials: which entries moved stock, and what was poured."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from floorboard.floor import events as e
from floorboard.mixing.stock import Count, Draw, Opening, Receipt, Record
from floorboard.mixing.trace import Pour

if TYPE_CHECKING:
    import zoneinfo
    from collections.abc import Callable, Iterable, Mapping


@dataclass(slots=True)
class StockRecords:
    """Records for `account_of`, and pours for tracing, in the order of the log."""

    records: list[Record] = field(default_factory=list)
    pours: list[Pour] = field(default_factory=list)


def stock_records(
    entries: Iterable[e.Entry],
    zone: zoneinfo.ZoneInfo,
    uses: Callable[[str, int], Mapping[str, float]],
) -> StockRecords:
    """Read the entries that count; struck ones never do.

    Parameters
    ----------
    zone : of the shop: a lot is good to the end of its date there.
    uses : grams by material that a casting (serial) takes at a step of its route (from 0).
    """
    found = StockRecords()
    for entry in entries:
        event = entry.event
        if entry.struck_by is not None:
            continue
        if isinstance(event, e.LayerBegun | e.LayerApplied):
            if event.batch is not None:
                found.pours.append(Pour(event.batch, event.casting, event.layer))
        elif isinstance(event, e.StepDone):
            found.records += [
                Draw(entry.at, material, grams, event.lots.get(material), casting=casting)
                for casting in event.castings
                for material, grams in uses(casting, event.step).items()
            ]
        elif isinstance(event, e.SolutionMade):
            found.records += _made_up(entry.at, event, zone)
        elif (record := _record(entry.at, event, zone)) is not None:
            found.records.append(record)
    found.pours = list(dict.fromkeys(found.pours))
    return found


def _record(at: dt.datetime, event: e.AnyEvent, zone: zoneinfo.ZoneInfo) -> Record | None:
    if isinstance(event, e.MaterialWeighed):
        return Draw(at, event.material, event.grams, event.lot, batch=event.batch)
    if isinstance(event, e.StockWasted):
        return Draw(at, event.material, event.grams, event.lot)
    if isinstance(event, e.LotReceived):
        ends = None if event.expires is None else end_of(event.expires, zone)
        return Receipt(at, event.material, event.lot, event.grams, ends, event.cost)
    if isinstance(event, e.LotOpened):
        return Opening(at, event.material, event.lot)
    if isinstance(event, e.StockCounted):
        return Count(at, event.material, event.lot, event.grams)
    return None


def _made_up(at: dt.datetime, event: e.SolutionMade, zone: zoneinfo.ZoneInfo) -> list[Record]:
    ends = None if event.expires is None else end_of(event.expires, zone)
    into = (event.material, event.lot)
    takings = [Draw(at, one.material, one.grams, one.lot, into_lot=into) for one in event.takings]
    return [Receipt(at, event.material, event.lot, event.grams, ends), *takings]


def end_of(date: dt.date, zone: zoneinfo.ZoneInfo) -> dt.datetime:
    """Return the moment a date ends in the shop's zone: a lot is good until then."""
    next_day = date + dt.timedelta(days=1)
    return dt.datetime.combine(next_day, dt.time(0), zone).astimezone(dt.UTC)
