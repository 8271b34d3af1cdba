"""Appending: the entries, and in the same transaction all that they change."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

from floorboard.store import event_log, read_tables, write_tables
from floorboard.store.refusals import refuse_taken_serial
from floorboard.store.take_in import Dirty, take_in

if TYPE_CHECKING:
    import datetime as dt
    import sqlite3
    from collections.abc import Mapping, Sequence

    from floorboard.floor import events as e
    from floorboard.shop.build import Build
    from floorboard.store.ledger import Ledger


@dataclass(frozen=True, slots=True)
class Stamp:
    """When entries are written down, by whom and where."""

    logged_at: dt.datetime
    person: str | None
    station: str

    def entry(
        self, seq: int, at: dt.datetime, event: e.AnyEvent, id_: str | None = None
    ) -> e.Entry:
        """Return an entry with this stamp, under a new id unless one is given."""
        return event_log.new_entry(
            seq,
            id_ if id_ is not None else event_log.new_id(self.logged_at),
            at,
            event,
            logged_at=self.logged_at,
            person=self.person,
            station=self.station,
        )


def log_entries(
    connection: sqlite3.Connection,
    old: Ledger,
    builds: Mapping[str, Build],
    happened: Sequence[tuple[dt.datetime, e.AnyEvent]],
    stamp: Stamp,
    ids: Sequence[str] | None = None,
) -> tuple[list[e.Entry], Ledger]:
    """Write entries and what they change; inside the caller's transaction.

    `old` is the floor before them and is left as it is; returned is the floor after them.

    Raises
    ------
    floorboard.shop.errors.StaleFloor
        If a serial number that an event begins is in use.
    """
    events = [event for _, event in happened]
    ledger, dirty, entries = old.branch(events), Dirty(), []
    named = {serial for event in events for serial in event.touched_castings()}
    ledger.drop_closed(but=named | {event.touched_batch() for event in events})
    read_tables.load_touched(connection, ledger, events, builds)
    balance = partial(read_tables.balance, connection)
    for place, (at, event) in enumerate(happened):
        refuse_taken_serial(connection, event)
        id_ = ids[place] if ids is not None else None
        entry = stamp.entry(ledger.floor.last_seq + 1, at, event, id_)
        event_log.insert(connection, entry, event.touched_castings(), about=event)
        rows = take_in(ledger, entry, builds, balance, dirty)
        write_tables.write_rows(connection, entry, rows)
        entries.append(entry)
    write_tables.write_state(connection, ledger, dirty, old)
    ledger.perhaps_closed |= dirty.castings | dirty.batches
    return entries, ledger
