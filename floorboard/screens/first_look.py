"""The first look at the floor: what is painted before the board itself is there.

What the board needs to act on a key takes longer to load than the screen takes to paint. So a
second process reads the floor meanwhile and hands over what can be seen of it, in plain values.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Callable

    from floorboard.floor.floor import Floor
    from floorboard.screens.floor_screen.mold_row import MoldRow
    from floorboard.shop.shop import Shop
    from floorboard.usecases.session import Session


@dataclass(frozen=True, slots=True)
class FirstLook:
    """What is seen of a floor at a moment: the shop's name, its people, its molds.

    `clock` is the moment `at` as the top line shows it; `people` are pairs of id and name.
    """

    shop: str
    clock: str
    at: dt.datetime
    people: tuple[tuple[str, str], ...]
    rows: tuple[MoldRow, ...]


@dataclass(frozen=True, slots=True)
class Opening:
    """A board about to open: what to paint at once, if anything, and what opens the session."""

    look: FirstLook | None
    open_session: Callable[[], Session]


def first_look(shop: Shop, floor: Floor, now: dt.datetime) -> FirstLook:
    """Return what is seen of a floor before any plan is drawn up."""
    # Whoever only shows a look does not load what makes one.
    from zoneinfo import ZoneInfo

    from floorboard.screens.countdown import clock_line
    from floorboard.screens.floor_screen.floor_view import mold_rows

    return FirstLook(
        shop.shop.name,
        clock_line(now, ZoneInfo(shop.shop.zone)),
        now,
        tuple((key, person.name) for key, person in shop.people.items()),
        tuple(mold_rows(shop, floor, None, now)),
    )
