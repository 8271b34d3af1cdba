"""How each mold stands at a moment: its state in one word, and its countdown.

Pure functions of (shop, floor, now).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from floorboard.floor.waits import next_wait

if TYPE_CHECKING:
    import datetime as dt

    from floorboard.floor.casting import Casting
    from floorboard.floor.floor import Floor
    from floorboard.floor.waits import Wait
    from floorboard.shop.shop import Shop

State = Literal[
    "window lost",
    "closing",
    "due",
    "in hand",
    "soon",
    "curing",
    "set aside",
    "empty",
    "resting",
    "out",
]

# In the order in which they ask for attention.
URGENCY: tuple[State, ...] = (
    "window lost",
    "closing",
    "due",
    "in hand",
    "soon",
    "curing",
    "empty",
    "set aside",
    "resting",
    "out",
)


@dataclass(frozen=True, slots=True)
class Thresholds:
    """When a wait counts as soon, and a window as closing, in seconds before."""

    soon_seconds: float = 300.0
    closing_seconds: float = 600.0


@dataclass(frozen=True, slots=True)
class Standing:
    """One mold at one moment.

    `seconds_to_open` is negative once open; `seconds_to_close` is negative once the window is lost
    and None where nothing closes.
    """

    mold: str
    state: State
    casting: Casting | None
    wait: Wait | None
    seconds_to_open: float | None
    seconds_to_close: float | None

    @property
    def urgency(self) -> tuple[float, ...]:
        """A sort key: the most urgent first."""
        ranking = URGENCY.index(self.state)
        if self.seconds_to_close is not None and self.state in {"window lost", "closing", "due"}:
            return ranking, self.seconds_to_close
        return ranking, self.seconds_to_open if self.seconds_to_open is not None else 0.0


def stand_of_casting(
    casting: Casting, now: dt.datetime, thresholds: Thresholds = Thresholds()
) -> tuple[State, Wait | None, float | None, float | None]:
    """Return a casting's state, what it waits for, and the seconds to opening and closing."""
    wait = next_wait(casting)
    if wait is None:
        return "empty", None, None, None
    to_open = (wait.opens_at - now).total_seconds()
    to_close = (wait.closes_at - now).total_seconds() if wait.closes_at is not None else None
    return _state(casting, wait, to_open, to_close, thresholds), wait, to_open, to_close


def _state(
    casting: Casting, wait: Wait, to_open: float, to_close: float | None, thresholds: Thresholds
) -> State:
    if wait.begun_at is not None or wait.kind == "ready":
        return "in hand"
    if to_close is not None and to_close < 0:
        return "window lost"
    if casting.set_aside:
        return "set aside"
    if to_open > thresholds.soon_seconds:
        return "curing"
    if to_open > 0:
        return "soon"
    if to_close is not None and to_close <= thresholds.closing_seconds:
        return "closing"
    return "due"


def standings(
    shop: Shop, floor: Floor, now: dt.datetime, thresholds: Thresholds = Thresholds()
) -> list[Standing]:
    """Return every mold of the shop, the most urgent first."""
    held = {casting.mold: casting for casting in floor.castings.values() if casting.in_mold}
    rows = [_stand_of_mold(shop, floor, key, held.get(key), now, thresholds) for key in shop.molds]
    return sorted(rows, key=lambda row: (*row.urgency, shop.molds[row.mold].number))


def _stand_of_mold(
    shop: Shop,
    floor: Floor,
    mold: str,
    casting: Casting | None,
    now: dt.datetime,
    thresholds: Thresholds,
) -> Standing:
    if casting is not None:
        state, wait, to_open, to_close = stand_of_casting(casting, now, thresholds)
        return Standing(mold, state, casting, wait, to_open, to_close)
    if not mold_in_service(shop, floor, mold):
        return Standing(mold, "out", None, None, None, None)
    logged = floor.molds.get(mold)
    if logged is not None and logged.rests_until is not None and logged.rests_until > now:
        seconds = (logged.rests_until - now).total_seconds()
        return Standing(mold, "resting", None, None, seconds, None)
    return Standing(mold, "empty", None, None, None, None)


def mold_in_service(shop: Shop, floor: Floor, mold: str) -> bool:
    """Return whether a mold may be used: as last logged, else as the shop defines it."""
    logged = floor.molds.get(mold)
    if logged is not None and logged.in_service is not None:
        return logged.in_service
    return shop.molds[mold].in_service


def pulls_of(shop: Shop, floor: Floor, mold: str) -> int:
    """Return a mold's pulls: those before the log, and those logged."""
    logged = floor.molds.get(mold)
    return shop.molds[mold].pulls + (logged.pulls if logged is not None else 0)


def castings_after_mold(floor: Floor) -> list[Casting]:
    """Return the castings out of their molds with steps still to do, oldest demold first."""
    waiting = [c for c in floor.open_castings() if c.demolded_at is not None]
    return sorted(
        waiting, key=lambda casting: (casting.demolded_at or casting.begun_at, casting.serial)
    )
