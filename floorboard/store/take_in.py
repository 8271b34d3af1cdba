"""Folding one entry into a ledger, and the rows it adds to the tables.

Pure: used alike by appending, by striking and by the replay that checks the tables.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from floorboard.floor import events as e
from floorboard.floor.fold import fold
from floorboard.store.event_codec import kinds_of
from floorboard.store.ledger import BatchMark, CastingMark
from floorboard.store.rows import EntryRows
from floorboard.store.work_rows import Glimpse, add_rows

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from floorboard.floor.casting import Casting
    from floorboard.shop.build import Build
    from floorboard.store.ledger import Ledger


# Kinds by what they change. They are compared, not classes: asking pydantic's classes what an
# event is an instance of costs more than folding it.
_ABOUT_CASTINGS = kinds_of(e.CastingEvent) | kinds_of(e.StepsEvent)
_ABOUT_A_BATCH = kinds_of(e.BatchEvent)
_ABOUT_A_MOLD = kinds_of(e.MoldEvent)
PERSON_KINDS = ("person left", "person back")
CONDITION_KINDS = ("conditions read",)


@dataclass(slots=True)
class Dirty:
    """What changed in a ledger since the tables were last written."""

    castings: set[str] = field(default_factory=set)
    batches: set[str] = field(default_factory=set)
    molds: set[str] = field(default_factory=set)
    away: bool = False
    conditions: bool = False


def take_in(
    ledger: Ledger,
    entry: e.Entry,
    builds: Mapping[str, Build],
    balance: Callable[[str, str], float],
    dirty: Dirty,
) -> EntryRows:
    """Fold an entry, note what changed and return the rows it adds.

    Parameters
    ----------
    balance
        How many grams of a (material, lot) the entries before this one leave on hand.
    """
    floor, rows = ledger.floor, EntryRows()
    floor_flags = len(floor.flags)
    before = {
        serial: Glimpse.of(floor.castings[serial], entry.event)
        for serial in entry.event.touched_castings()
        if serial in floor.castings
    }
    fold([entry], builds, onto=floor)
    if entry.struck_by is not None:
        return rows
    rows.flags = [(None, flag) for flag in floor.flags[floor_flags:]]
    if entry.event.kind == "casting begun":
        _begun(ledger, entry, entry.event, before, rows, dirty)
    elif entry.event.kind in _ABOUT_CASTINGS:
        for serial, glimpse in before.items():
            _changed(ledger, floor.castings[serial], glimpse, entry, rows, dirty)
    _others(ledger, entry, dirty)
    add_rows(rows, ledger, entry, before, balance)
    return rows


def _begun(
    ledger: Ledger,
    entry: e.Entry,
    event: e.CastingBegun,
    before: Mapping[str, Glimpse],
    rows: EntryRows,
    dirty: Dirty,
) -> None:
    casting = ledger.floor.castings.get(event.casting)
    if casting is None:
        return
    seen = before[event.casting].flags if event.casting in before else 0
    if event.casting not in before:
        ledger.castings[event.casting] = CastingMark(entry.seq, event.build)
    rows.flags += [(casting.serial, flag) for flag in casting.flags[seen:]]
    dirty.castings.add(event.casting)


def _changed(
    ledger: Ledger,
    casting: Casting,
    before: Glimpse,
    entry: e.Entry,
    rows: EntryRows,
    dirty: Dirty,
) -> None:
    """Note what an entry about a casting changed of it, its batches and its mold."""
    event, serial = entry.event, casting.serial
    rows.flags += [(serial, flag) for flag in casting.flags[before.flags :]]
    dirty.castings.add(serial)
    mark = ledger.castings[serial]
    if event.kind == "layer applied" and event.layer == 0 and before.newly_applied(casting):
        ledger.castings[serial] = replace(mark, pull_seq=entry.seq)
        dirty.molds.add(casting.mold)
    if event.kind == "casting rejected" and not before.rejected:
        ledger.castings[serial] = _rejected(mark, casting, before, event)
        dirty.batches |= {
            batch.serial
            for batch in ledger.floor.batches.values()
            if any(serving.casting == serial for serving in batch.servings)
        }
    if before.layer is not None:
        batch = casting.coats[before.layer].batch
        if batch in ledger.floor.batches:
            dirty.batches.add(batch)


def _rejected(
    mark: CastingMark, casting: Casting, before: Glimpse, event: e.CastingRejected
) -> CastingMark:
    if casting.demolded_at is not None:
        route = len(casting.build.piece.route)
        step = before.next_step if before.next_step < route else None
        return replace(mark, reject_step=step, reject_layer=event.layer)
    layer = event.layer
    if layer is None and before.readied and before.layers_applied < len(casting.coats):
        layer = before.layers_applied
    return replace(mark, reject_layer=layer)


def _others(ledger: Ledger, entry: e.Entry, dirty: Dirty) -> None:
    event, kind = entry.event, entry.event.kind
    if kind in _ABOUT_A_BATCH:
        batch = event.touched_batch()
        if batch is not None and batch in ledger.floor.batches:
            ledger.batches.setdefault(batch, BatchMark(entry.seq))
            dirty.batches.add(batch)
    elif kind in _ABOUT_A_MOLD:
        dirty.molds |= {mold for mold in (event.touched_mold(),) if mold is not None}
    elif kind in PERSON_KINDS:
        dirty.away = True
    elif kind in CONDITION_KINDS:
        dirty.conditions = True
