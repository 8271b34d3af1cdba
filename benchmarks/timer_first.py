"""A shop without a planner: whichever timer rings first is served, an idle mold is begun when free.

The baseline the planner is compared with. A person who comes free takes the mold whose timer rang
first; if its window has closed by the time the mix is ready the casting is lost. With no timer
ringing an idle mold is begun, as long as its casting could still be finished by the end of the
shift. Nobody mixes ahead, nobody shares a batch, nobody looks at what comes next.
"""

from __future__ import annotations

import heapq
from dataclasses import dataclass
from typing import TYPE_CHECKING

from floorboard.planning.day_times import mix_times
from floorboard.shop.build import build_of
from floorboard.shop.calendar import stretches

if TYPE_CHECKING:
    import datetime as dt

    from floorboard.shop.build import Build
    from floorboard.shop.shop import Shop


@dataclass(slots=True)
class _Mold:
    build: Build
    number: int
    # The layer it waits for, counted from 0; as many as there are layers: the demold.
    layer: int = -1
    rings: float = 0.0
    closes: float = float("inf")
    busy: bool = False


@dataclass(frozen=True, slots=True)
class TimerDay:
    """What a day by timers comes to."""

    demolded: int
    lost: int


def timer_day(shop: Shop, start: dt.datetime, end: dt.datetime) -> TimerDay:
    """Return the castings demolded by the end of a day, and those lost, served by timers."""
    builds = {piece: build_of(shop, piece) for piece in shop.pieces}
    molds = [
        _Mold(builds[mold.piece], mold.number)
        for mold in sorted(shop.molds.values(), key=lambda mold: mold.number)
    ]
    spans = {
        key: [
            ((first - start).total_seconds(), (last - start).total_seconds())
            for first, last in stretches(person, shop.shop.zone, start, end)
        ]
        for key, person in shop.people.items()
    }
    day = _Day(molds, (end - start).total_seconds())
    free = [(spans[key][0][0], n, key) for n, key in enumerate(shop.people) if spans[key]]
    heapq.heapify(free)
    while free:
        at, number, key = heapq.heappop(free)
        then = day.serve(at, spans[key])
        if then is not None:
            heapq.heappush(free, (then, number, key))
    return TimerDay(day.demolded, day.lost)


class _Day:
    def __init__(self, molds: list[_Mold], end: float) -> None:
        self.molds, self.end = molds, end
        self.demolded = self.lost = 0
        # Molds in somebody's hands and when they leave them, with what follows.
        self.until: list[tuple[float, int]] = []

    def serve(self, at: float, spans: list[tuple[float, float]]) -> float | None:
        """Give a person who is free something to do; return when they are free again."""
        here = next(((first, last) for first, last in spans if first <= at < last), None)
        if here is None:
            return min((first for first, _ in spans if first > at), default=None)
        self._let_go(at)
        for mold in self._ringing(at):
            length = self._length(mold)
            if at + length > here[1]:
                continue
            if mold.layer < len(mold.build.piece.layers) and at + self._making(mold) > mold.closes:
                self.lost += 1
                mold.layer = -1
                continue
            return self._do(mold, at, length)
        idle = [mold for mold in self.molds if mold.layer < 0 and not mold.busy]
        for mold in idle:
            length = self._length(mold)
            if at + length <= here[1] and at + self._cycle(mold) <= self.end:
                return self._do(mold, at, length)
        return self._next(at, here[1], spans)

    def _let_go(self, at: float) -> None:
        for end, number in [entry for entry in self.until if entry[0] <= at]:
            self.molds[number].busy = False
            self.until.remove((end, number))

    def _ringing(self, at: float) -> list[_Mold]:
        waiting = [m for m in self.molds if m.layer >= 0 and not m.busy and m.rings <= at]
        return sorted(waiting, key=lambda mold: (mold.rings, mold.number))

    def _making(self, mold: _Mold) -> float:
        return mix_times(mold.build.mix_of_layer(max(0, mold.layer)), None).making

    def _length(self, mold: _Mold) -> float:
        piece = mold.build.piece
        if mold.layer < 0:
            return float(piece.ready) + self._making(mold) + float(piece.layers[0].apply)
        if mold.layer < len(piece.layers):
            return self._making(mold) + float(piece.layers[mold.layer].apply)
        return float(piece.demold)

    def _cycle(self, mold: _Mold) -> float:
        piece, build = mold.build.piece, mold.build
        making = sum(
            mix_times(build.mix_of_layer(n), None).making for n in range(len(piece.layers))
        )
        cures = sum(float(layer.partial_cure) for layer in piece.layers[:-1])
        work = sum(float(layer.apply) for layer in piece.layers) + piece.ready + piece.demold
        return float(making + cures + work + piece.full_cure)

    def _do(self, mold: _Mold, at: float, length: float) -> float:
        piece, end = mold.build.piece, at + length
        mold.busy = True
        self.until.append((end, self.molds.index(mold)))
        if mold.layer >= len(piece.layers):
            mold.layer = -1
            self.demolded += end <= self.end
            return end
        done = max(0, mold.layer)
        last = done == len(piece.layers) - 1
        by = piece.layers[done].recoat_by
        mold.layer = done + 1
        mold.rings = end + float(piece.full_cure if last else piece.layers[done].partial_cure)
        mold.closes = float("inf") if last or by is None else end + float(by)
        return end

    def _next(
        self, at: float, stretch_end: float, spans: list[tuple[float, float]]
    ) -> float | None:
        """Return when to look again: a timer rings, a mold is let go, or the next stretch begins."""
        moments = [m.rings for m in self.molds if m.layer >= 0 and m.rings > at]
        moments += [end for end, _ in self.until if end > at]
        soon = min((moment for moment in moments if moment < stretch_end), default=None)
        if soon is not None:
            return soon
        return min((first for first, _ in spans if first > at), default=None)
