"""What castings have cost so far, from the log: weights by their lots' prices, hands by the clock."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from floorboard.floor import events as e
from floorboard.mixing.cost import (
    Cost,
    ScrapLine,
    cost_of,
    hands_cost,
    materials_cost,
    scrap_by_reason,
    share_of_batch,
)
from floorboard.mixing.refusal import refuse
from floorboard.shop.base import Definition

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from floorboard.shop.shop import Shop
    from floorboard.usecases.ports import Store
    from floorboard.usecases.stock_book import StockBook


class LayerCost(Definition):
    """What one layer (counted from 0) has cost: its share of its batch, and applying it."""

    layer: int
    batch: str | None
    cost: Cost


class StepCost(Definition):
    """What one step of the route (counted from 0) has cost: its hands and what it used."""

    step: int
    cost: Cost


class CastingCostSoFar(Definition):
    """One casting. Handling is readying its mold and demolding it."""

    casting: str
    piece: str
    mold: str
    order: str | None
    rejected_for: str | None
    layers: tuple[LayerCost, ...]
    steps: tuple[StepCost, ...]
    handling: Cost
    whole: Cost


@dataclass(slots=True)
class _Tally:
    """One casting's log, read through once."""

    piece: str = ""
    mold: str = ""
    order: str | None = None
    reason: str | None = None
    handling: list[Cost] = field(default_factory=list)
    layers: dict[int, list[Cost]] = field(default_factory=dict)
    batches: dict[int, str] = field(default_factory=dict)
    steps: dict[int, list[Cost]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class _BatchCost:
    """A batch's cost, the grams it was meant to serve by (casting, layer), and what it served."""

    cost: Cost
    servings: Mapping[tuple[str, int], float]
    served: set[tuple[str, int]]

    @property
    def served_grams(self) -> float:
        """All it was meant to serve."""
        return sum(self.servings.values())


class CostBook:
    """Costs by the log. Batches are read once each, so many castings can be asked for."""

    def __init__(self, store: Store, shop: Shop, book: StockBook) -> None:
        self._store = store
        self._shop = shop
        self._prices = {
            (lot.material, lot.lot): lot.cost_per_gram
            for lot in book.lots(shop)
            if lot.cost_per_gram is not None
        }
        self._batches: dict[str, _BatchCost] = {}

    def casting(self, serial: str) -> CastingCostSoFar:
        """Return what a casting has cost so far.

        Raises
        ------
        floorboard.mixing.refusal.MixingError
            If the log has no such casting.
        """
        entries = [x for x in self._store.of_casting(serial) if x.struck_by is None]
        if not any(isinstance(x.event, e.CastingBegun) for x in entries):
            raise refuse("casting", f"found no casting {serial!r} in the log")
        tally, begun = _Tally(), _Begun()
        for entry in entries:
            self._take(tally, begun, entry, serial)
        layers = tuple(
            LayerCost(
                layer=number,
                batch=tally.batches.get(number),
                cost=cost_of([*tally.layers.get(number, []), *self._share(tally, number, serial)]),
            )
            for number in sorted(tally.layers.keys() | tally.batches.keys())
        )
        steps = tuple(
            StepCost(step=number, cost=cost_of(costs))
            for number, costs in sorted(tally.steps.items())
        )
        handling = cost_of(tally.handling)
        return CastingCostSoFar(
            casting=serial,
            piece=tally.piece,
            mold=tally.mold,
            order=tally.order,
            rejected_for=tally.reason,
            layers=layers,
            steps=steps,
            handling=handling,
            whole=cost_of([*(x.cost for x in layers), *(x.cost for x in steps), handling]),
        )

    def batch(self, serial: str) -> Cost:
        """Return what a batch has cost: what went into it, and weighing and mixing it."""
        return self._batch(serial).cost

    def lost(self, serials: Iterable[str]) -> Cost:
        """Return what lost batches had cost, less the layers they did serve."""
        costs = []
        for batch in map(self._batch, serials):
            unserved = sum(
                grams for key, grams in batch.servings.items() if key not in batch.served
            )
            if unserved:
                costs.append(share_of_batch(batch.cost, unserved, batch.served_grams))
        return cost_of(costs)

    def scrap(self, serials: Iterable[str]) -> tuple[ScrapLine, ...]:
        """Return what these rejected castings had cost, by reason, dearest first."""
        costs = [self.casting(serial) for serial in serials]
        return scrap_by_reason(
            (one.rejected_for, one.whole) for one in costs if one.rejected_for is not None
        )

    def _take(self, tally: _Tally, begun: _Begun, entry: e.Entry, serial: str) -> None:
        event = entry.event
        match event:
            case e.CastingBegun():
                tally.piece, tally.mold, tally.order = event.piece, event.mold, event.order
                begun.note("ready", entry)
            case e.MoldReadied():
                tally.handling.append(self._hands(begun.taken("ready"), entry))
            case e.LayerBegun():
                begun.note(f"layer {event.layer}", entry)
                if event.batch is not None:
                    tally.batches[event.layer] = event.batch
            case e.LayerApplied():
                hands = self._hands(begun.taken(f"layer {event.layer}"), entry)
                tally.layers.setdefault(event.layer, []).append(hands)
                if event.batch is not None:
                    tally.batches[event.layer] = event.batch
            case e.DemoldBegun():
                begun.note("demold", entry)
            case e.Demolded():
                tally.handling.append(self._hands(begun.taken("demold"), entry))
            case e.StepBegun():
                begun.note(f"step {event.step}", entry)
            case e.StepDone():
                hands = self._hands(begun.taken(f"step {event.step}"), entry)
                used = self._step_use(entry.seq, serial)
                costs = tally.steps.setdefault(event.step, [])
                costs += [hands.times(1 / len(event.castings)), used]
            case e.CastingRejected():
                tally.reason = event.reason
            case _:
                pass

    def _hands(self, since: e.Entry | None, until: e.Entry) -> Cost:
        if since is None:
            return Cost()
        person = self._shop.people.get(until.person or since.person or "")
        seconds = max(0.0, (until.at - since.at) / dt.timedelta(seconds=1))
        return hands_cost(seconds, person.hourly if person is not None else 0.0)

    def _step_use(self, seq: int, casting: str) -> Cost:
        grams: dict[str, float] = {}
        for material, weight in self._store.stock.used_by_step(seq, casting):
            grams[material] = grams.get(material, 0.0) + weight
        return materials_cost(grams, self._shop.materials)

    def _share(self, tally: _Tally, layer: int, casting: str) -> list[Cost]:
        batch = tally.batches.get(layer)
        if batch is None:
            return []
        made = self._batch(batch)
        mine = made.servings.get((casting, layer))
        if mine is None or made.served_grams <= 0:
            return []
        return [share_of_batch(made.cost, mine, made.served_grams)]

    def _batch(self, serial: str) -> _BatchCost:
        if serial not in self._batches:
            self._batches[serial] = self._read_batch(serial)
        return self._batches[serial]

    def _read_batch(self, serial: str) -> _BatchCost:
        costs: list[Cost] = []
        servings: dict[tuple[str, int], float] = {}
        served: set[tuple[str, int]] = set()
        begun: e.Entry | None = None
        for entry in self._store.of_batch(serial):
            event = entry.event
            if isinstance(event, e.BatchBegun):
                begun = begun or entry
                servings |= {(x.casting, x.layer): x.grams for x in event.servings}
            elif isinstance(event, e.MaterialWeighed):
                costs.append(self._weighed(event))
            elif isinstance(event, e.LayerBegun | e.BatchLost) and begun is not None:
                # Making it ends with its first pour, or with its loss.
                costs.append(self._hands(begun, entry))
                begun = None
            if isinstance(event, e.LayerBegun | e.LayerApplied):
                served.add((event.casting, event.layer))
        return _BatchCost(cost_of(costs), servings, served)

    def _weighed(self, event: e.MaterialWeighed) -> Cost:
        price = self._prices.get((event.material, event.lot or ""))
        own = {} if price is None else {event.material: price}
        return materials_cost({event.material: event.grams}, self._shop.materials, own)


class _Begun:
    """What was begun and not yet ended."""

    def __init__(self) -> None:
        self._open: dict[str, e.Entry] = {}

    def note(self, what: str, entry: e.Entry) -> None:
        self._open[what] = entry

    def taken(self, what: str) -> e.Entry | None:
        return self._open.pop(what, None)
