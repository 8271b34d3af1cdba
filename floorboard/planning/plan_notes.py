"""What a plan cannot do, in sentences: molds without work, pieces nobody can make."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

    from floorboard.planning.shop_problem import ShopProblem


def shop_notes(source: ShopProblem) -> Iterator[str]:
    """Yield what people should know about the plan beside its tasks."""
    if not any(person.stretches for person in source.problem.people):
        yield "Nobody has a shift before the plan ends; add shifts or take people up again."
        return
    wants = source.wanted
    if not wants.everything and not any(want.missing for want in wants.wants):
        yield "Every order is covered by what is finished or begun; no new casting is planned."
    offered = {ref.pool for ref in source.groups}
    for want in wants.wants:
        if not want.missing:
            continue
        pools = [pool.key for pool in source.pools.values() if pool.piece == want.piece]
        if not pools:
            yield (
                f"Order {want.order} wants {want.missing} more of {want.piece}, but no mold of it "
                "is in service."
            )
        elif not offered.intersection(pools):
            yield (
                f"Order {want.order} wants {want.missing} more of {want.piece}, but none can be "
                f"begun before {source.horizon.day_end:%Y-%m-%d %H:%M} UTC."
            )
