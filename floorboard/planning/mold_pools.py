"""Which molds can take new castings, from when, and how many castings a day could hold at most."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from floorboard.floor.standing import mold_in_service, pulls_of

if TYPE_CHECKING:
    from floorboard.floor.floor import Floor
    from floorboard.planning.carry_on import CarriedOn
    from floorboard.planning.time_grid import TimeGrid
    from floorboard.shop.shop import Shop

# A mold with fewer pulls left than this before it retires is planned on its own.
FEW_PULLS = 40


@dataclass(slots=True)
class PoolDraft:
    """Molds of one piece that serve a casting equally well.

    `most` is the greatest number of castings their pulls allow, None when that is no limit. `free`
    gives for each mold the step from which it is empty; `holds` the serial of the casting that
    has to leave it first.
    """

    key: str
    piece: str
    molds: list[str] = field(default_factory=list)
    most: int | None = None
    free: dict[str, int] = field(default_factory=dict)
    holds: dict[str, str] = field(default_factory=dict)


def mold_pools(
    shop: Shop, floor: Floor, grid: TimeGrid, now: int, carried: CarriedOn
) -> dict[str, PoolDraft]:
    """Return the pools by key. Molds out of service or worn out are in none."""
    pools: dict[str, PoolDraft] = {}
    demolding = {w.castings[0]: w.end for w in carried.works if w.kind == "demold"}
    for key, mold in shop.molds.items():
        left = _pulls_left(shop, floor, key)
        if not mold_in_service(shop, floor, key) or (left is not None and left <= 0):
            continue
        own = left is not None and left < FEW_PULLS
        name = f"{mold.piece}/{key}" if own else mold.piece
        pool = pools.setdefault(name, PoolDraft(name, mold.piece))
        pool.molds.append(key)
        if own:
            pool.most = left
        logged = floor.molds.get(key)
        free = now
        if logged is not None and logged.rests_until is not None:
            free = max(now, grid.at_or_after(logged.rests_until))
        held = floor.casting_in(key)
        if held is not None and held.serial in demolding:
            free = max(free, demolding[held.serial])
        elif held is not None:
            pool.holds[key] = held.serial
        pool.free[key] = free
    return pools


def _pulls_left(shop: Shop, floor: Floor, mold: str) -> int | None:
    limit = shop.molds[mold].retire_at
    if limit is None:
        return None
    held = floor.casting_in(mold)
    filling = 1 if held is not None and held.layers_applied == 0 else 0
    return limit - pulls_of(shop, floor, mold) - filling
