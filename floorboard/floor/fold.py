"""The fold: from entries to the state of the floor.

`fold` is total. An entry is fact; one that does not fit is taken where it can be and flagged.
Struck entries, and the entries that strike them, count for nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.floor import events as e
from floorboard.floor.casting import Casting, Flag
from floorboard.floor.floor import Floor
from floorboard.floor.fold_casting import CASTING_HANDLERS, begin_casting
from floorboard.floor.fold_rest import OTHER_HANDLERS
from floorboard.floor.fold_steps import STEP_HANDLERS

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from floorboard.shop.build import Build


def fold(
    entries: Iterable[e.Entry], builds: Mapping[str, Build], onto: Floor | None = None
) -> Floor:
    """Return the floor after these entries, in order of `seq`.

    Parameters
    ----------
    entries
        In the order of the log. Those with `struck_by` set are passed over.
    builds
        The builds that `CastingBegun` entries name, by digest.
    onto
        A floor to go on from; it is changed in place and returned.
    """
    floor = onto if onto is not None else Floor()
    for entry in entries:
        floor.last_seq = max(floor.last_seq, entry.seq)
        if entry.struck_by is None:
            floor.last_at = max(floor.last_at or entry.at, entry.at)
            _apply(floor, entry, builds)
    return floor


def _apply(floor: Floor, entry: e.Entry, builds: Mapping[str, Build]) -> None:
    event = entry.event
    if isinstance(event, e.CastingBegun):
        begin_casting(floor, entry, event, builds)
        return
    if isinstance(event, e.StepsEvent):
        for serial in event.castings:
            if casting := _known(floor, entry, serial):
                STEP_HANDLERS[type(event)](casting, entry, event.step)
        return
    if isinstance(event, e.CastingEvent):
        casting = _known(floor, entry, event.casting)
        if casting is not None:
            CASTING_HANDLERS[type(event)](floor, casting, entry)
        return
    handler = OTHER_HANDLERS.get(type(event))
    if handler is not None:
        handler(floor, entry)


def _known(floor: Floor, entry: e.Entry, serial: str) -> Casting | None:
    casting = floor.castings.get(serial)
    if casting is None:
        floor.flags.append(Flag(entry.seq, "unknown", f"The log has no casting {serial}."))
    return casting
