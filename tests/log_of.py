"""Logs written as short lists, for tests of the fold."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.floor import events as e
from floorboard.floor.fold import fold
from floorboard.shop.build import Build, build_of
from tests.tiny_shop import after, tiny_shop

if TYPE_CHECKING:
    from floorboard.floor.floor import Floor

BUILD = build_of(tiny_shop(), "bowl")
BUILDS: dict[str, Build] = {BUILD.digest(): BUILD}


def log_of(
    *lines: tuple[float, e.AnyEvent], person: str = "ana", struck: dict[int, int] | None = None
) -> list[e.Entry]:
    """Return entries from (minutes after the start, event) pairs, numbered from 1."""
    return [
        e.Entry(
            seq=seq,
            id=f"id-{seq}",
            at=after(minutes),
            logged_at=after(minutes),
            person=person,
            station="bench",
            event=event,
            struck_by=(struck or {}).get(seq),
        )
        for seq, (minutes, event) in enumerate(lines, start=1)
    ]


def floor_of(*lines: tuple[float, e.AnyEvent], struck: dict[int, int] | None = None) -> Floor:
    """Return the floor after these lines."""
    return fold(log_of(*lines, struck=struck), BUILDS)


def begun(casting: str = "c1", mold: str = "m1") -> e.CastingBegun:
    """Return the beginning of a casting."""
    return e.CastingBegun(casting=casting, mold=mold, piece="bowl", build=BUILD.digest())


def batch(serial: str, *servings: tuple[str, int], working_minutes: float = 12) -> e.BatchBegun:
    """Return the beginning of a batch for (casting, layer) servings."""
    return e.BatchBegun(
        batch=serial,
        mix="coat",
        servings=tuple(e.Serving(casting=c, layer=n, grams=300) for c, n in servings),
        grams=300 * len(servings),
        working_seconds=working_minutes * 60,
    )


def to_first_layer(casting: str = "c1", mold: str = "m1") -> list[tuple[float, e.AnyEvent]]:
    """Return the lines up to the end of a casting's first layer, at minute 13."""
    return [
        (0, begun(casting, mold)),
        (5, e.MoldReadied(casting=casting)),
        (5, batch("b1", (casting, 0))),
        (7, e.BatchWetted(batch="b1")),
        (8, e.LayerBegun(casting=casting, layer=0, batch="b1")),
        (13, e.LayerApplied(casting=casting, layer=0, batch="b1")),
    ]


def to_demold(casting: str = "c1", mold: str = "m1") -> list[tuple[float, e.AnyEvent]]:
    """Return the lines up to the demold of a casting, at minute 80."""
    return [
        *to_first_layer(casting, mold),
        (25, batch("b2", (casting, 1))),
        (28, e.BatchWetted(batch="b2")),
        (29, e.LayerBegun(casting=casting, layer=1, batch="b2")),
        (35, e.LayerApplied(casting=casting, layer=1, batch="b2")),
        (76, e.DemoldBegun(casting=casting)),
        (80, e.Demolded(casting=casting)),
    ]
