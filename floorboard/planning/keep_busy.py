"""How many molds keep hands busy, told three ways.

By the classical worker-machine ratio, by the shortest rounds there really are, and with mixes
shared.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from pydantic import Field

from floorboard.planning.errors import PlanningError
from floorboard.planning.plan import PlanValue
from floorboard.planning.rotation_draft import RotationDraft
from floorboard.planning.shop_rotation import SECONDS, shop_round
from floorboard.planning.worker_machine import Servicing
from floorboard.shop.counted import counted, people_counted

if TYPE_CHECKING:
    from collections.abc import Sequence

    from floorboard.planning.rotation_draft import ShopRound
    from floorboard.shop.shop import Shop

# A further mold that raises the castings an hour by less than this share adds nothing.
NOTHING = 0.02


class BusyRow(PlanValue):
    """So many molds and the shortest round of them, each layer mixed by itself or mixes shared."""

    molds: int
    round_seconds: float | None
    castings_per_hour: float
    hands_used: float = Field(description="share of the people's time that is work, 0-1")
    proved: bool
    shared_round_seconds: float | None
    shared_castings_per_hour: float
    shared_proved: bool


class KeepBusy(PlanValue):
    """How many molds of a piece keep so many people busy."""

    piece: str
    people: int
    hands_seconds: float = Field(description="hands-on time of one casting, mixing included")
    cycle_seconds: float = Field(description="of one mold alone, from its readying to its next")
    ratio: float = Field(description="molds that keep one person exactly busy, by the ratio")
    rows: tuple[BusyRow, ...]
    enough: int = Field(description="molds after which one more adds nothing, mixes not shared")
    enough_shared: int
    sentences: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Case:
    shop: Shop
    molds: tuple[str, ...]
    people: int
    share: bool


def keep_busy(
    shop: Shop,
    piece: str,
    people: int = 1,
    most: int = 8,
    *,
    seconds: float = SECONDS,
) -> KeepBusy:
    """Return how many molds of a piece keep so many people busy, told three ways.

    Parameters
    ----------
    most
        Rounds of up to so many molds are looked for, and no more than two beyond the ratio.
    seconds
        For how long all the rounds together are looked for at most.
    """
    draft = RotationDraft(shop, share=False)
    hands, cycle = draft.hands_seconds(piece), draft.cycle_seconds(piece)
    walk = float(shop.shop.walk) * (len(shop.pieces[piece].layers) + 2)
    servicing = Servicing(hands, walk, cycle - hands)
    last = min(most, max(2, math.ceil(servicing.ratio * people) + 2))
    many = _with_molds(shop, piece, last)
    names = tuple(many.molds)
    ways = (False, True) if draft.may_share(piece) else (False,)
    cases = [
        _Case(many, names[:count], people, share) for count in range(1, last + 1) for share in ways
    ]
    rounds = _rounds(cases, seconds)
    rows: list[BusyRow] = []
    for count in range(last):
        found = rounds[len(ways) * count : len(ways) * (count + 1)]
        rows.append(_busy_row(count + 1, found[0], found[-1], rows[-1] if rows else None))
    enough = _enough([row.castings_per_hour for row in rows])
    enough_shared = _enough([row.shared_castings_per_hour for row in rows])
    return KeepBusy(
        piece=piece,
        people=people,
        hands_seconds=hands,
        cycle_seconds=cycle,
        ratio=round(servicing.ratio, 3),
        rows=tuple(rows),
        enough=enough,
        enough_shared=enough_shared,
        sentences=tuple(_sentences(servicing, people, rows, enough, enough_shared)),
    )


def _rounds(cases: Sequence[_Case], seconds: float) -> list[ShopRound]:
    """Return the round of each case; what one leaves of its part of the time goes to the rest."""
    rounds: list[ShopRound] = []
    for place, case in enumerate(cases):
        part = max(0.0, seconds) / (len(cases) - place)
        found = shop_round(case.shop, case.molds, case.people, share=case.share, seconds=part)
        seconds -= found.runtime_seconds
        rounds.append(found)
    return rounds


def _with_molds(shop: Shop, piece: str, count: int) -> Shop:
    """Return the shop with just so many molds of one piece."""
    model = next((mold for mold in shop.molds.values() if mold.piece == piece), None)
    if model is None:
        raise PlanningError(f"The shop has no mold of '{piece}'.")
    molds = {
        f"{piece[:30]}-{n}": model.model_copy(update={"number": n}) for n in range(1, count + 1)
    }
    return shop.model_copy(update={"molds": molds})


def _busy_row(molds: int, alone: ShopRound, shared: ShopRound, before: BusyRow | None) -> BusyRow:
    """Return a row that is never below the one before it: a mold may be left out of the round."""
    # Mixes need not be shared, so sharing is never worse.
    if shared.castings_per_hour < alone.castings_per_hour:
        shared = alone
    floor = (before.castings_per_hour, before.shared_castings_per_hour) if before else (0.0, 0.0)
    return BusyRow(
        molds=molds,
        round_seconds=alone.round_seconds,
        castings_per_hour=max(alone.castings_per_hour, floor[0]),
        hands_used=alone.hands_used,
        proved=alone.proved,
        shared_round_seconds=shared.round_seconds,
        shared_castings_per_hour=max(shared.castings_per_hour, floor[1]),
        shared_proved=shared.proved,
    )


def _enough(per_hour: list[float]) -> int:
    """Return after how many molds none of the following adds anything."""
    most = max(per_hour)
    return 1 + next(n for n, rate in enumerate(per_hour) if rate >= most * (1 - NOTHING))


def _sentences(
    servicing: Servicing, people: int, rows: list[BusyRow], enough: int, shared: int
) -> list[str]:
    who = people_counted(people)
    found = [
        f"One casting takes {servicing.service / 60:.0f} min of hands in a cycle of "
        f"{(servicing.service + servicing.run) / 60:.0f} min: by the ratio about "
        f"{servicing.ratio * people:.1f} molds keep {who} busy."
    ]
    row = rows[enough - 1]
    for number in sorted({min(len(rows), max(1, int(servicing.ratio * people))), enough}):
        one = rows[number - 1]
        if one.round_seconds is not None:
            found.append(
                f"With {counted(number, 'mold')} {who} {'is' if people == 1 else 'are'} at work "
                f"{one.hands_used:.0%} of a round of "
                f"{one.round_seconds / 60:.1f} min: {one.castings_per_hour:.2f} castings an hour."
            )
    if enough < len(rows):
        found.append(f"A mold more than {enough} adds nothing.")
    best = rows[shared - 1]
    gain = best.shared_castings_per_hour / max(row.castings_per_hour, 1e-9) - 1
    if best.shared_round_seconds is not None and gain > NOTHING:
        found.append(
            f"With shared mixes {counted(shared, 'mold')} {'is' if shared == 1 else 'are'} enough, "
            f"in a round of {best.shared_round_seconds / 60:.1f} min: "
            f"{gain:.0%} more castings an hour."
        )
    elif row.round_seconds is not None:
        found.append("Sharing mixes adds nothing here.")
    return found
