"""Where each casting in progress stands at the end of a stretch."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from floorboard.floor.waits import next_wait
from floorboard.records.tally_model import CarriedLine, StageLine

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterable, Sequence

    from floorboard.floor.casting import Casting
    from floorboard.floor.waits import Wait
    from floorboard.shop.shop import Shop


def stage_of(casting: Casting, moment: dt.datetime) -> str:
    """Return where a casting stands, such as "layer 2", "drying" or "to seal"."""
    return stage_of_wait(casting, next_wait(casting), moment)[1]


def stage_of_wait(casting: Casting, wait: Wait | None, moment: dt.datetime) -> tuple[int, str]:
    """Return a casting's stage with its place in the order of stages."""
    if wait is None:
        return 900, "done"
    if wait.kind == "ready":
        return 0, "ready the mold"
    if wait.kind == "layer":
        return 1 + wait.index, f"layer {wait.index + 1}"
    if wait.kind == "demold":
        return (100, "curing in the mold") if wait.opens_at > moment else (101, "to demold")
    if wait.opens_at > moment and wait.behind:
        return 200 + 2 * wait.index, "drying" if wait.behind == "drying" else "curing"
    return 201 + 2 * wait.index, f"to {casting.build.piece.route[wait.index].kind}"


def carried_lines(
    castings: Iterable[Casting], shop: Shop, names: dict[str, str], moment: dt.datetime
) -> tuple[CarriedLine, ...]:
    """Return the castings in progress at a moment, those in molds first, the next to open first."""
    found: list[tuple[tuple[bool, float, str], CarriedLine]] = []
    for casting in castings:
        wait = next_wait(casting)
        line = CarriedLine(
            casting=casting.serial,
            piece=casting.piece_id,
            name=names.get(casting.piece_id, casting.build.piece.name),
            mold=casting.mold,
            mold_number=shop.molds[casting.mold].number if casting.mold in shop.molds else None,
            in_mold=casting.in_mold,
            stage=stage_of_wait(casting, wait, moment)[1],
            opens_at=wait.opens_at if wait is not None else None,
            closes_at=wait.closes_at if wait is not None else None,
            order=casting.order,
        )
        opens = wait.opens_at.timestamp() if wait is not None else 0.0
        found.append(((not casting.in_mold, opens, casting.serial), line))
    return tuple(line for _, line in sorted(found, key=lambda pair: pair[0]))


def stage_lines(castings: Sequence[Casting], moment: dt.datetime) -> tuple[StageLine, ...]:
    """Return how many castings stand at each stage, in the order of the work."""
    order: dict[str, int] = {}
    counts: Counter[str] = Counter()
    for casting in castings:
        place, stage = stage_of_wait(casting, next_wait(casting), moment)
        order[stage] = min(order.get(stage, place), place)
        counts[stage] += 1
    return tuple(
        StageLine(stage=stage, castings=counts[stage])
        for stage in sorted(counts, key=lambda stage: (order[stage], stage))
    )
