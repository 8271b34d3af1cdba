"""Traces as lines of text, for commands and screens."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.shop.counted import counted

if TYPE_CHECKING:
    from collections.abc import Iterator

    from floorboard.usecases.traces import CastingTraced, LotTraced


def lot_text(found: LotTraced) -> Iterator[str]:
    """Yield a lot's trace for people."""
    yield f"Lot {found.lot} of {found.material} went into {counted(len(found.castings), 'casting')}:"
    yield from (f"  {serial}" for serial in found.castings)
    yield f"by {counted(len(found.batches), 'batch', 'batches')}: {', '.join(found.batches) or 'none'}"
    for made in found.made_up:
        yield f"and into lot {made.lot} of {made.material}, made up with it"


def casting_text(found: CastingTraced) -> Iterator[str]:
    """Yield a casting's trace for people."""
    yield f"Casting {found.casting} is made of {counted(len(found.lots), 'lot')}:"
    yield from (f"  {one.material:<24} lot {one.lot}" for one in found.lots)
    yield f"by {counted(len(found.batches), 'batch', 'batches')}: {', '.join(found.batches) or 'none'}"
