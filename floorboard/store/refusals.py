"""What the log refuses, each in a sentence: stale presses, taken numbers, strikes that cannot be."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from floorboard.floor import events as e
from floorboard.shop.errors import StaleFloor
from floorboard.store import event_log
from floorboard.store.errors import CannotStrike, IdTaken, NoSuchEntry
from floorboard.store.shelf import shops_loaded

if TYPE_CHECKING:
    import datetime as dt
    import sqlite3
    from collections.abc import Iterable, Sequence


@dataclass(frozen=True, slots=True)
class About:
    """What some entries are about, as pairs such as ("casting", "260312-04")."""

    names: frozenset[tuple[str, str]]

    @classmethod
    def of(cls, events: Iterable[e.AnyEvent], person: str | None) -> About:
        """Gather what events logged by a person are about, the person included."""
        names: set[tuple[str, str]] = set()
        for event in events:
            names |= {("casting", serial) for serial in event.touched_castings()}
            if batch := event.touched_batch():
                names.add(("batch", batch))
            if mold := event.touched_mold():
                names.add(("mold", mold))
            if isinstance(event, e.PersonLeft | e.PersonBack):
                names.add(("person", event.who))
        if person is not None:
            names.add(("person", person))
        return cls(frozenset(names))


def already_logged(
    connection: sqlite3.Connection,
    happened: Sequence[tuple[dt.datetime, e.AnyEvent]],
    ids: Sequence[str] | None,
) -> dict[int, e.Entry]:
    """Return, by place in `happened`, the entries already in the log under the ids given.

    Raises
    ------
    IdTaken
        If an id stands for a different event.
    ValueError
        If there are not as many ids as events, or one is given twice.
    """
    if ids is None:
        return {}
    if len(ids) != len(happened) or len(set(ids)) != len(ids):
        raise ValueError(f"{len(happened)} events need as many different ids, not {list(ids)}.")
    known: dict[int, e.Entry] = {}
    for place, id_ in enumerate(ids):
        entry = event_log.by_id(connection, id_)
        if entry is None:
            continue
        if entry.event != happened[place][1]:
            raise IdTaken(
                f"The id {id_} already stands for entry {entry.seq}, '{entry.event.kind}'. "
                "Nothing was logged; give the new entry an id of its own."
            )
        known[place] = entry
    return known


def refuse_stale(
    connection: sqlite3.Connection,
    events: Sequence[e.AnyEvent],
    expected_seq: int,
    person: str | None,
) -> None:
    """Refuse events about something that entries after `expected_seq` are about, too.

    Raises
    ------
    floorboard.shop.errors.StaleFloor
    """
    mine = About.of(events, person)
    for entry in event_log.since(connection, expected_seq + 1):
        event = entry.event
        if isinstance(event, e.EntryStruck):
            struck = event_log.by_seq(connection, event.struck)
            theirs = About.of([struck.event] if struck else [], entry.person)
        else:
            theirs = About.of([event], entry.person)
        shared = sorted(mine.names & theirs.names)
        if shared:
            what, name = shared[0]
            by = f" by {entry.person}" if entry.person else ""
            at = f" at {entry.station}" if entry.station else ""
            raise StaleFloor(
                f"Meanwhile '{event.kind}' was logged{by}{at} about {what} {name} "
                f"(entry {entry.seq}). Nothing was logged now; look again, then confirm."
            )


def refuse_taken_serial(connection: sqlite3.Connection, event: e.AnyEvent) -> None:
    """Refuse to begin a casting or batch under a number that is in use.

    Raises
    ------
    floorboard.shop.errors.StaleFloor
    """
    if event.kind == "casting begun":
        what, name = "Casting", event.casting
        sql = "SELECT begun_seq FROM castings WHERE serial = ?"
    elif event.kind == "batch begun":
        what, name = "Batch", event.batch
        sql = "SELECT begun_seq FROM batches WHERE serial = ?"
    else:
        return
    row = connection.execute(sql, (name,)).fetchone()
    if row is not None:
        raise StaleFloor(
            f"{what} {name} was already begun (entry {row[0]}). "
            "Nothing was logged now; look again, then confirm."
        )


def refuse_unstrikable(connection: sqlite3.Connection, seq: int) -> e.Entry:
    """Return the entry to strike.

    Raises
    ------
    NoSuchEntry, CannotStrike
    """
    entry = event_log.by_seq(connection, seq) if 0 < seq < 2**63 else None
    if entry is None:
        raise NoSuchEntry(f"The log has no entry {seq}. Look its number up with: floorboard log")
    if isinstance(entry.event, e.EntryStruck):
        raise CannotStrike(
            f"Entry {seq} strikes entry {entry.event.struck} and cannot be struck itself. "
            "Log again what was struck by mistake."
        )
    if entry.struck_by is not None:
        raise CannotStrike(f"Entry {seq} is struck already, by entry {entry.struck_by}.")
    if isinstance(entry.event, e.ShopLoaded) and shops_loaded(connection) == 1:
        raise CannotStrike(
            f"Entry {seq} loaded the only shop there is. "
            "Load another with: floorboard shop load FILE"
        )
    return entry
