"""What a strike does to the tables: they are worked out again from the struck entry on.

Nothing before the struck entry can depend on it, for the fold goes forward. So the floor is taken
back to just before it and every later entry is folded again. Taking back needs only the entries of
what later entries touch: a casting's state depends on its own entries and its batches', a batch's
on its own and on those of the castings it serves. What no later entry touches stands as it is.
"""

from __future__ import annotations

import copy
from functools import partial
from typing import TYPE_CHECKING

from floorboard.floor import events as e
from floorboard.floor.floor import MoldState
from floorboard.store import event_log, read_tables
from floorboard.store.ledger import Ledger
from floorboard.store.take_in import Dirty, take_in

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Mapping, Sequence

    from floorboard.floor.casting import Flag
    from floorboard.shop.build import Build

_MOLD_KINDS = ("mold taken out", "mold put back", "mold cared for", "mold rested")
_PERSON_KINDS = ("person left", "person back")
_CONDITION_KINDS = ("conditions read",)


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
    later = event_log.since(connection, seq)
    castings = {serial for entry in later for serial in entry.event.touched_castings()}
    batches = event_log.batches_of_castings(connection, castings)
    batches |= {batch for entry in later if (batch := entry.event.touched_batch())}
    back = _taken_back(connection, seq, ledger, builds, castings, batches)
    dirty = Dirty(castings, batches, _molds(later, castings, back))
    _take_back_the_rest(connection, later, ledger, back, dirty)
    _forget_rows(connection, seq)
    balance = partial(read_tables.balance, connection)
    for entry in later:
        rows = take_in(back, entry, builds, balance, dirty)
        read_tables.write_rows(connection, entry, rows)
    back.floor.last_at = event_log.latest_moment(connection)
    read_tables.write_state(connection, back, dirty, None)
    back.perhaps_closed = ledger.perhaps_closed | castings | batches
    return back


def _taken_back(
    connection: sqlite3.Connection,
    seq: int,
    ledger: Ledger,
    builds: Mapping[str, Build],
    castings: set[str],
    batches: set[str],
) -> Ledger:
    """Return the castings and batches as they were before entry `seq`, in order."""
    helpers = castings | event_log.castings_of_batches(connection, batches)
    earlier = event_log.filed_under(connection, helpers, batches, seq)
    back, unused = Ledger(), Dirty()
    for entry in earlier:
        take_in(back, entry, builds, lambda _material, _lot: 0.0, unused)
    _keep_only(back, castings, batches)
    flags = _flags_before(connection, seq, ledger, castings, builds)
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
    connection: sqlite3.Connection,
    seq: int,
    ledger: Ledger,
    castings: set[str],
    builds: Mapping[str, Build],
) -> dict[str, list[Flag]]:
    """Return the flags that entries before `seq` put on castings, which the strike cannot change.

    Some depend on what else was in hand at that moment, which the few entries folded again do not
    tell; so they are taken from the tables.
    """
    held = Ledger()
    read_tables.load_castings(connection, held, castings - ledger.floor.castings.keys(), builds)
    both = {**ledger.floor.castings, **held.floor.castings}
    return {
        serial: [flag for flag in both[serial].flags if flag.seq < seq]
        for serial in castings
        if serial in both
    }


def _molds(later: Sequence[e.Entry], castings: set[str], back: Ledger) -> set[str]:
    molds = {mold for entry in later if (mold := entry.event.touched_mold())}
    return molds | {c.mold for s, c in back.floor.castings.items() if s in castings}


def _take_back_the_rest(
    connection: sqlite3.Connection,
    later: Sequence[e.Entry],
    ledger: Ledger,
    back: Ledger,
    dirty: Dirty,
) -> None:
    """Take molds, people, conditions and the floor's flags back to before the later entries."""
    floor, seq = back.floor, later[0].seq
    floor.flags = read_tables.load_floor_flags(connection, before=seq)
    floor.molds = {k: copy.copy(state) for k, state in ledger.floor.molds.items()}
    for mold in dirty.molds:
        floor.molds.pop(mold, None)
        state = _mold_before(connection, seq, mold)
        if state is not None:
            floor.molds[mold] = state
    dirty.away = any(isinstance(entry.event, e.PersonLeft | e.PersonBack) for entry in later)
    dirty.conditions = any(isinstance(entry.event, e.ConditionsRead) for entry in later)
    rest = Ledger()
    if dirty.away or dirty.conditions:
        for entry in event_log.of_kinds(connection, _PERSON_KINDS + _CONDITION_KINDS, seq):
            take_in(rest, entry, {}, lambda _material, _lot: 0.0, Dirty())
    floor.away = rest.floor.away if dirty.away else dict(ledger.floor.away)
    conditions = rest.floor if dirty.conditions else ledger.floor
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


def _forget_rows(connection: sqlite3.Connection, seq: int) -> None:
    for table in read_tables.ROW_TABLES:
        connection.execute(f"DELETE FROM {table} WHERE seq >= ?", (seq,))
