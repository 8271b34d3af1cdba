"""What a strike does to the tables: they are worked out again from the struck entry on.

Nothing before the struck entry can depend on it, for the fold goes forward. So the floor is taken
back to just before it and every later entry is folded again. Taking back needs only the entries of
what later entries touch: a casting's state depends on its own entries and its batches', a batch's
on its own and on those of the castings it serves. What no later entry touches stands as it is.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import partial
from typing import TYPE_CHECKING

from floorboard.floor import events as e
from floorboard.floor.floor import MoldState
from floorboard.floor.own import own_mold
from floorboard.store import event_log, read_tables, write_tables
from floorboard.store.ledger import Ledger
from floorboard.store.take_in import CONDITION_KINDS, PERSON_KINDS, Dirty, take_in

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Mapping

    from floorboard.floor.casting import Flag
    from floorboard.shop.build import Build

# After so many entries what is closed leaves the floor, where each entry would look at it again.
_TIDY_EVERY = 100

_MOLD_KINDS = ("mold taken out", "mold put back", "mold cared for", "mold rested")


@dataclass(slots=True)
class _Later:
    """What the entries from the struck one on are about."""

    seq: int
    castings: set[str] = field(default_factory=set)
    batches: set[str] = field(default_factory=set)
    molds: set[str] = field(default_factory=set)
    people: bool = False
    conditions: bool = False

    @classmethod
    def of(cls, connection: sqlite3.Connection, seq: int) -> _Later:
        """Look through the entries from `seq` on."""
        later = cls(seq)
        for entry in event_log.since(connection, seq):
            event = entry.event
            later.castings.update(event.touched_castings())
            if batch := event.touched_batch():
                later.batches.add(batch)
            if mold := event.touched_mold():
                later.molds.add(mold)
            later.people |= event.kind in PERSON_KINDS
            later.conditions |= event.kind in CONDITION_KINDS
        later.batches |= event_log.batches_of_castings(connection, later.castings)
        return later


def fold_again(
    connection: sqlite3.Connection, seq: int, ledger: Ledger, builds: Mapping[str, Build]
) -> Ledger:
    """Work out the tables again from entry `seq` on, which has just been struck.

    Parameters
    ----------
    ledger
        The floor before the strike. It is left as it is.

    Returns
    -------
    Ledger
        The floor after it, already written.
    """
    later = _Later.of(connection, seq)
    back = _taken_back(connection, later, ledger, builds)
    later.molds |= {c.mold for s, c in back.floor.castings.items() if s in later.castings}
    _take_back_the_rest(connection, later, ledger, back)
    # What the tables say of later castings and batches is of a future that is worked out anew.
    write_tables.forget_rows(connection, seq)
    dirty = Dirty(later.castings, later.batches, later.molds, later.people, later.conditions)
    write_tables.write_state(connection, back, dirty, None)
    balance = partial(read_tables.balance, connection)
    dirty = Dirty()
    for count, entry in enumerate(event_log.since(connection, seq)):
        if count % _TIDY_EVERY == _TIDY_EVERY - 1:
            write_tables.write_state(connection, back, dirty, None)
            dirty = Dirty()
            back.perhaps_closed = {*back.floor.castings, *back.floor.batches}
            back.drop_closed(but=())
        read_tables.load_touched(connection, back, [entry.event], builds)
        rows = take_in(back, entry, builds, balance, dirty)
        write_tables.write_rows(connection, entry, rows)
    back.floor.last_at = event_log.latest_moment(connection)
    write_tables.write_state(connection, back, dirty, None)
    back.perhaps_closed = {*back.floor.castings, *back.floor.batches}
    return back


def _taken_back(
    connection: sqlite3.Connection, later: _Later, ledger: Ledger, builds: Mapping[str, Build]
) -> Ledger:
    """Return the castings and batches as they were before the later entries, in order."""
    castings, batches = later.castings, later.batches
    helpers = castings | event_log.castings_of_batches(connection, batches)
    earlier = event_log.filed_under(connection, helpers, batches, later.seq)
    back, unused = Ledger(), Dirty()
    for entry in earlier:
        take_in(back, entry, builds, lambda _material, _lot: 0.0, unused)
    _keep_only(back, castings, batches)
    flags = _flags_before(connection, later.seq, back, ledger)
    for serial, casting in back.floor.castings.items():
        casting.flags = flags.get(serial, [])
    for serial, casting in ledger.floor.castings.items():
        if serial not in castings:
            back.floor.castings[serial] = casting
            back.castings[serial] = ledger.castings[serial]
    for serial, batch in ledger.floor.batches.items():
        if serial not in batches:
            back.floor.batches[serial] = batch
            back.batches[serial] = ledger.batches[serial]
    back.in_log_order()
    return back


def _keep_only(back: Ledger, castings: set[str], batches: set[str]) -> None:
    floor = back.floor
    floor.castings = {s: c for s, c in floor.castings.items() if s in castings}
    floor.batches = {s: b for s, b in floor.batches.items() if s in batches}
    back.castings = {s: m for s, m in back.castings.items() if s in castings}
    back.batches = {s: m for s, m in back.batches.items() if s in batches}


def _flags_before(
    connection: sqlite3.Connection, seq: int, back: Ledger, ledger: Ledger
) -> dict[str, list[Flag]]:
    """Return the flags that entries before `seq` put on castings, which the strike cannot change.

    Some depend on what else was in hand at that moment, which the few entries folded again do not
    tell; so they are taken from the tables.
    """
    found = {}
    for serial in back.floor.castings:
        casting = ledger.floor.castings.get(serial)
        flags = casting.flags if casting else read_tables.load_flags(connection, serial)
        found[serial] = [flag for flag in flags if flag.seq < seq]
    return found


def _take_back_the_rest(
    connection: sqlite3.Connection, later: _Later, ledger: Ledger, back: Ledger
) -> None:
    """Take molds, people, conditions and the floor's flags back to before the later entries."""
    floor, seq = back.floor, later.seq
    floor.flags = read_tables.load_floor_flags(connection, before=seq)
    floor.molds = {k: own_mold(state) for k, state in ledger.floor.molds.items()}
    for mold in later.molds:
        floor.molds.pop(mold, None)
        state = _mold_before(connection, seq, mold)
        if state is not None:
            floor.molds[mold] = state
    rest = Ledger()
    if later.people or later.conditions:
        for entry in event_log.of_kinds(connection, PERSON_KINDS + CONDITION_KINDS, seq):
            take_in(rest, entry, {}, lambda _material, _lot: 0.0, Dirty())
    floor.away = rest.floor.away if later.people else dict(ledger.floor.away)
    conditions = rest.floor if later.conditions else ledger.floor
    floor.conditions, floor.conditions_at = conditions.conditions, conditions.conditions_at


def _mold_before(connection: sqlite3.Connection, seq: int, mold: str) -> MoldState | None:
    """Return a mold's state before entry `seq`; None if nothing had been logged of it.

    Its pulls are counted from the castings, which know by which entry they became one.
    """
    rest = Ledger()
    own = event_log.of_kinds(connection, _MOLD_KINDS, seq, mold)
    for entry in own:
        take_in(rest, entry, {}, lambda _material, _lot: 0.0, Dirty())
    pulls = read_tables.pulls_before(connection, mold, seq)
    if not own and not pulls:
        return None
    state = rest.floor.molds.get(mold, MoldState())
    state.pulls = pulls
    cared = [entry.seq for entry in own if isinstance(entry.event, e.MoldCaredFor)]
    state.pulls_at_care = read_tables.pulls_before(connection, mold, cared[-1]) if cared else 0
    return state
