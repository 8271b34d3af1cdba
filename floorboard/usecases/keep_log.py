"""Write made-up lines into a real store: what one person logs in a row in one transaction."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from floorboard.usecases.ports import Store
    from floorboard.usecases.shop_year_people import Logged


def keep_log(store: Store, lines: Iterable[Logged], seqs: dict[int, int]) -> None:
    """Append lines and strike what they strike.

    Parameters
    ----------
    seqs
        The entry of each handle so far; added to.
    """
    for (person, strikes), run in groupby(lines, key=lambda line: (line.person, line.strikes)):
        some = list(run)
        if strikes is None:
            _append(store, some, person, seqs)
            continue
        store.strike(
            seqs[strikes],
            reason="wrong key",
            logged_at=some[0].logged_at,
            person=person,
            station="bench",
        )


def _append(store: Store, lines: Sequence[Logged], person: str, seqs: dict[int, int]) -> None:
    entries = store.append(
        [(line.at, line.event) for line in lines if line.event is not None],
        logged_at=lines[-1].logged_at,
        person=person,
        station="bench",
    )
    for line, entry in zip(lines, entries, strict=True):
        seqs[line.handle] = entry.seq
