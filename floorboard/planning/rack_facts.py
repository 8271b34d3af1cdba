"""Places of racks that castings already dry in, and booths in use by work in hand."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

    from floorboard.floor.casting import Casting
    from floorboard.floor.floor import Floor
    from floorboard.planning.carry_on import CarriedOn
    from floorboard.planning.time_grid import TimeGrid

Taken = tuple[int, int, int]
"""`(start, end, places)` in steps."""


def places_taken(
    floor: Floor, carried: CarriedOn, grid: TimeGrid, end: int
) -> dict[str, list[Taken]]:
    """Return what is taken of each station by facts, until step `end` at most."""
    found: dict[str, list[Taken]] = {}

    def take(station: str | None, start: int, stop: int) -> None:
        if station is not None and start < min(stop, end):
            found.setdefault(station, []).append((max(0, start), min(stop, end), 1))

    for work in carried.works:
        casting = floor.castings[work.castings[0]]
        piece = casting.build.piece
        if work.kind == "layer":
            take(piece.layers[work.index].station, work.start, work.end)
        elif work.kind == "step":
            take(piece.route[work.index].station, work.start, work.end)
        elif work.kind == "batch":
            mix = casting.build.mixes.get(floor.batches[work.batch or ""].mix)
            take(mix.station if mix is not None else None, work.start, work.end)
    for casting in floor.open_castings():
        for station, first, last in _drying(casting, carried, grid):
            take(station, grid.down(first), grid.up(last))
    return found


def _drying(
    casting: Casting, carried: CarriedOn, grid: TimeGrid
) -> Iterator[tuple[str | None, float, float]]:
    """Yield the passive steps a casting is in or comes to without further work, in seconds."""
    route = casting.build.piece.route
    since, index = _since(casting, carried, grid)
    if since is None:
        return
    while index < len(route) and route[index].passive:
        end = since + float(route[index].takes)
        yield route[index].station, since, end
        since, index = end, index + 1


def _since(casting: Casting, carried: CarriedOn, grid: TimeGrid) -> tuple[float | None, int]:
    """Return the end of the last hands-on work, done or in hand, and the route step after it."""
    in_hand = [w for w in carried.works if casting.serial in w.castings]
    steps = [w for w in in_hand if w.kind == "step"]
    if steps:
        last = max(steps, key=lambda work: work.index)
        return float(last.end * grid.step_seconds), last.index + 1
    demold = [w for w in in_hand if w.kind == "demold"]
    if demold:
        return float(demold[0].end * grid.step_seconds), 0
    if casting.demolded_at is None:
        return None, 0
    done = [n for n in range(casting.next_step) if casting.steps[n].done_at is not None]
    at = casting.steps[done[-1]].done_at if done else casting.demolded_at
    since = grid.seconds(at or casting.demolded_at)
    if casting.sent_back_at is not None:
        since = max(since, grid.seconds(casting.sent_back_at))
    return since, done[-1] + 1 if done else 0
