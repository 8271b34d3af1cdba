"""Give every new casting of a schedule its mold, and a name to go by until it has a serial."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from floorboard.planning.shop_problem import Pool, ShopProblem
    from floorboard.planning.solution import Solution
    from floorboard.shop.shop import Shop


def name_castings(
    shop: Shop, source: ShopProblem, solution: Solution
) -> dict[int, tuple[str, str]]:
    """Return (name, mold) of each present group of a new casting, by group.

    Castings take molds in the order they begin; the schedule holds no more molds of a pool than
    there are, so one is always free. A name is "new-" with the mold's number and the casting's
    turn in that mold.
    """
    found: dict[int, tuple[str, str]] = {}
    turns: dict[str, int] = {}
    for pool in source.pools.values():
        free = _first_free(source, solution, pool)
        spans: list[tuple[int, int, int]] = []
        for index, group in enumerate(source.groups):
            if group.pool == pool.key:
                span = span_of(source, solution, index)
                if span is not None:
                    spans.append((*span, index))
        for start, end, index in sorted(spans):
            molds = [mold for mold in pool.molds if free.get(mold, end) <= start]
            mold = min(molds, key=lambda mold: (free[mold], shop.molds[mold].number))
            free[mold] = end
            turns[mold] = turns.get(mold, 0) + 1
            found[index] = f"new-{shop.molds[mold].number}-{turns[mold]}", mold
    return found


def span_of(source: ShopProblem, solution: Solution, group: int) -> tuple[int, int] | None:
    """Return when a casting's readying (or next layer) starts and its demold ends; None if absent.

    The batch for a first layer may well be begun before the mold is taken.
    """
    tasks = source.problem.groups[group].tasks
    first, last = solution.placements[tasks[0]], solution.placements[tasks[-1]]
    return None if first is None or last is None else (first.start, last.end)


def _first_free(source: ShopProblem, solution: Solution, pool: Pool) -> dict[str, int]:
    """Return from when each mold is free for a new casting; molds that stay full are left out."""
    free = {mold: step for mold, step in pool.free_from.items() if mold not in pool.holds}
    held = {serial: mold for mold, serial in pool.holds.items()}
    for index, group in enumerate(source.groups):
        if group.kind == "in mold" and group.casting in held:
            span = span_of(source, solution, index)
            if span is not None:
                mold = held[group.casting]
                free[mold] = max(span[1], pool.free_from[mold])
    return free
