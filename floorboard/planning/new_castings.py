"""Which new castings the plan may choose from: enough for every mold and pair of hands, no more."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from floorboard.shop.build import build_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from floorboard.planning.mold_pools import PoolDraft
    from floorboard.planning.shop_problem import GroupKind
    from floorboard.planning.shop_tasks import CastingShape, TaskWriter
    from floorboard.planning.wanted import Want, Wanted
    from floorboard.shop.build import Build
    from floorboard.shop.shop import Shop


@dataclass(frozen=True, slots=True)
class NewCasting:
    """A casting that might be begun; those with the same `alike` are interchangeable."""

    kind: GroupKind
    name: str
    build: Build
    pool: str
    want: Want | None
    alike: int


@dataclass(frozen=True, slots=True)
class _Class:
    pool: PoolDraft
    build: Build
    kind: GroupKind
    wants: list[Want | None]
    alike: int


def new_castings(
    shop: Shop,
    pools: dict[str, PoolDraft],
    wanted: Wanted,
    writer: TaskWriter,
    day: tuple[int, int, int],
    today_most: Mapping[str, int],
) -> Iterator[NewCasting]:
    """Yield the new castings on offer, the pools taking turns, those for today first.

    Parameters
    ----------
    day
        Now, the end of the day at hand and the end of the plan, in steps.
    today_most
        Limits of what is offered for today, by pool.
    """
    classes = list(_classes(shop, pools, wanted, writer, day, today_most))
    for kind in ("today", "overnight"):
        of_kind = [entry for entry in classes if entry.kind == kind]
        for turn in range(max((len(entry.wants) for entry in of_kind), default=0)):
            for entry in of_kind:
                if turn < len(entry.wants):
                    yield NewCasting(
                        entry.kind,
                        f"{entry.pool.key} {kind} {turn + 1}",
                        entry.build,
                        entry.pool.key,
                        entry.wants[turn],
                        entry.alike,
                    )


def _classes(
    shop: Shop,
    pools: dict[str, PoolDraft],
    wanted: Wanted,
    writer: TaskWriter,
    day: tuple[int, int, int],
    today_most: Mapping[str, int],
) -> Iterator[_Class]:
    now, day_end, end = day
    alike = 0
    promised: dict[str, int] = {}
    for pool in pools.values():
        build = build_of(shop, pool.piece)
        people = writer.bench.people
        if not (people["ready"] and people["layer"] and people["demold"]) or not writer.fits(build):
            continue
        shape = writer.shape(build)
        most = _most_by(writer, shape, pool, now, day_end)
        later = len(pool.molds) if end > day_end and day_end > now else 0
        slots = wanted.slots(pool.piece, promised.get(pool.piece, 0) + most + later)
        slots = slots[promised.get(pool.piece, 0) :]
        if pool.most is not None:
            slots = slots[: pool.most]
        today = slots[: min(most, today_most.get(pool.key, most))]
        overnight = slots[len(today) :][:later]
        promised[pool.piece] = promised.get(pool.piece, 0) + len(today) + len(overnight)
        kinds: list[tuple[GroupKind, list[Want | None]]] = [
            ("today", today),
            ("overnight", overnight),
        ]
        for kind, wants in kinds:
            if wants:
                yield _Class(pool, build, kind, wants, alike)
                alike += 1


def _most_by(
    writer: TaskWriter, shape: CastingShape, pool: PoolDraft, now: int, day_end: int
) -> int:
    """Return how many castings could be finished by the end of the day, by molds and by hands."""
    cycle = shape.ready + shape.demold + shape.full_cure
    cycle += sum(layer.apply for layer in shape.layers)
    cycle += sum(layer.least for layer in shape.layers[:-1])
    by_molds = sum(max(0, (day_end - free) // cycle) for free in pool.free.values())
    hands = 0
    for person in writer.draft.people:
        hands += sum(max(0, min(end, day_end) - max(start, now)) for start, end in person.stretches)
    work = shape.ready + shape.demold + sum(layer.apply for layer in shape.layers)
    return min(by_molds, hands // max(1, work))
