"""Traces as lines of text, for commands and screens."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.shop.counted import counted

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from floorboard.usecases.traces import CastingTraced, LotTraced


def lot_text(found: LotTraced) -> Iterator[str]:
    """Yield a lot's trace for people."""
    castings = counted(len(found.castings), "casting")
    yield f"Lot {found.lot} of {found.material} went into {castings}:"
    yield from (f"  {serial}" for serial in found.castings)
    yield _by(found.batches)
    for made in found.made_up:
        yield f"and into lot {made.lot} of {made.material}, made up with it"


def casting_text(found: CastingTraced) -> Iterator[str]:
    """Yield a casting's trace for people."""
    yield f"Casting {found.casting} is made of {counted(len(found.lots), 'lot')}:"
    yield from (f"  {one.material:<24} lot {one.lot}" for one in found.lots)
    yield _by(found.batches)


def _by(batches: Sequence[str]) -> str:
    return f"by {counted(len(batches), 'batch', 'batches')}: {', '.join(batches) or 'none'}"
