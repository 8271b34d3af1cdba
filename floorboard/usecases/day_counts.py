"""The day's counts for the top line: a handful of numbers, cheap enough to work out after a key."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from floorboard.floor import events as e
from floorboard.shop.calendar import shop_day

if TYPE_CHECKING:
    import datetime as dt

    from floorboard.floor.floor import Floor
    from floorboard.shop.pieces import Piece
    from floorboard.shop.shop import Shop
    from floorboard.usecases.ports import Store


@dataclass(frozen=True, slots=True)
class DayCounts:
    """Castings begun, demolded, finished good and rejected since midnight in the shop's zone."""

    begun: int = 0
    demolded: int = 0
    good: int = 0
    rejected: int = 0

    def phrases(self) -> tuple[str, ...]:
        """Return the counts as the top line shows them, the most wanted first."""
        return (
            f"today {self.good} good",
            f"{self.rejected} rejected",
            f"{self.begun} begun",
            f"{self.demolded} demolded",
        )


def day_counts(store: Store, shop: Shop, floor: Floor, now: dt.datetime) -> DayCounts:
    """Return the counts of the shop's day that `now` lies in. Struck entries do not count."""
    day = shop_day(now, shop.shop.zone)
    begun: set[str] = set()
    demolded: set[str] = set()
    rejected: set[str] = set()
    last_step: dict[str, int] = {}
    for entry in store.between(day.start_utc, day.end_utc):
        if entry.struck_by is not None:
            continue
        match entry.event:
            case e.CastingBegun():
                begun.add(entry.event.casting)
            case e.Demolded():
                demolded.add(entry.event.casting)
            case e.CastingRejected():
                rejected.add(entry.event.casting)
            case e.CastingSentBack():
                last_step.pop(entry.event.casting, None)
            case e.StepDone():
                for casting in entry.event.castings:
                    last_step[casting] = entry.event.step
    good = {
        casting
        for casting, step in last_step.items()
        if casting not in rejected and step == _last_hands_on(store, shop, floor, casting)
    }
    # A piece without a finishing route is finished when it leaves its mold.
    good |= {c for c in demolded - rejected if _last_hands_on(store, shop, floor, c) is None}
    return DayCounts(len(begun), len(demolded), len(good), len(rejected))


def _last_hands_on(store: Store, shop: Shop, floor: Floor, casting: str) -> int | None:
    """Return the last hands-on step of a casting's route, None if the route has none."""
    piece = _piece_of(store, shop, floor, casting)
    if piece is None:
        return -1
    steps = [index for index, step in enumerate(piece.route) if not step.passive]
    return steps[-1] if steps else None


def _piece_of(store: Store, shop: Shop, floor: Floor, casting: str) -> Piece | None:
    known = floor.castings.get(casting)
    if known is not None:
        return known.build.piece
    for entry in store.of_casting(casting):
        if isinstance(entry.event, e.CastingBegun):
            return shop.pieces.get(entry.event.piece)
    return None
