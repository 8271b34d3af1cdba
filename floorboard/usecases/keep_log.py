"""Write made-up lines into a real store, one transaction a line, as a press would."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from floorboard.usecases.ports import Store
    from floorboard.usecases.shop_year_people import Logged


def keep_log(store: Store, lines: Iterable[Logged], seqs: dict[int, int]) -> None:
    """Append lines and strike what they strike.

    Parameters
    ----------
    seqs
        The entry of each handle so far; added to.
    """
    for line in lines:
        if line.event is None:
            assert line.strikes is not None
            store.strike(
                seqs[line.strikes],
                reason="wrong key",
                logged_at=line.logged_at,
                person=line.person,
                station="bench",
            )
            continue
        entries = store.append(
            [(line.at, line.event)],
            logged_at=line.logged_at,
            person=line.person,
            station="bench",
        )
        seqs[line.handle] = entries[0].seq
