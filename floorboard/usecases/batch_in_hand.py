"""A batch on the floor with its ticket and all that was logged of its making."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

from floorboard.floor import events as e
from floorboard.mixing.correction import Correction, correct
from floorboard.mixing.making import Making, PutIn, making_of
from floorboard.mixing.ticket import Serving, Ticket, ticket_for
from floorboard.usecases.batch_ticket import room_celsius, scale_resolution
from floorboard.usecases.press_words import mold_label

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterable, Mapping

    from floorboard.floor.batch import Batch
    from floorboard.floor.floor import Floor
    from floorboard.shop.materials import Material
    from floorboard.shop.mixes import Mix
    from floorboard.shop.shop import Shop
    from floorboard.usecases.ports import Store


@dataclass(frozen=True)
class BatchInHand:
    """One batch being made or poured.

    `targets` are grams by material once an over-pour was put right. `pouring` once a layer of it
    was begun: then it was made, whatever was keyed of that.
    """

    batch: Batch
    mix: Mix
    materials: Mapping[str, Material]
    ticket: Ticket
    tolerance_percent: float
    pouring: bool = False
    put_in: tuple[PutIn, ...] = ()
    stages: tuple[tuple[int, dt.datetime], ...] = ()
    targets: Mapping[str, float] | None = None

    @cached_property
    def making(self) -> Making:
        """How far its making has come."""
        return making_of(
            self.ticket,
            self.materials,
            self.put_in,
            self.stages,
            self.batch.begun_at,
            targets=self.targets,
            tolerance_percent=self.tolerance_percent,
        )

    def after(self, events: Iterable[e.AnyEvent], at: dt.datetime) -> BatchInHand:
        """Return the batch as it would be with these events logged."""
        put_in, stages, targets = list(self.put_in), list(self.stages), self.targets
        for event in events:
            if isinstance(event, e.MaterialWeighed):
                put_in.append(PutIn(event.material, event.target_grams, event.grams, at, event.lot))
            elif isinstance(event, e.BatchStaged):
                stages.append((event.stage, at))
            elif isinstance(event, e.BatchCorrected):
                targets = {one.material: one.grams for one in event.targets}
                # What was taken short before is made up too.
                put_in = [replace(one, target_grams=one.grams) for one in put_in]
        return replace(self, put_in=tuple(put_in), stages=tuple(stages), targets=targets)

    def correction(self) -> Correction:
        """Work out what would put the weights so far right."""
        return correct(
            self.ticket.batch, self.making.by_place(), tolerance_percent=self.tolerance_percent
        )


def batch_in_hand(store: Store, shop: Shop, floor: Floor, serial: str) -> BatchInHand | None:
    """Return a batch of the floor with its ticket; None if the floor or the shop lacks it."""
    batch = floor.batches.get(serial)
    known = None if batch is None else _mix_of(shop, floor, batch)
    if batch is None or known is None:
        return None
    mix, materials = known
    entries = store.of_batch(serial)
    begun = next((x.event for x in entries if isinstance(x.event, e.BatchBegun)), None)
    ticket = ticket_for(
        batch.mix,
        mix,
        materials,
        [
            Serving(
                mold=(mold := _mold_of(floor, s.casting)),
                layer=s.layer,
                grams=s.grams,
                casting=s.casting,
                called=mold_label(shop, mold) if mold else s.casting,
            )
            for s in batch.servings
        ],
        percents=begun.percents if begun is not None else None,
        resolution_grams=scale_resolution(shop),
        tare_grams=begun.tare_grams if begun is not None else 0.0,
        temperature=room_celsius(floor),
    )
    found = BatchInHand(
        batch,
        mix,
        materials,
        ticket,
        float(shop.shop.scale_tolerance),
        pouring=bool(batch.served) or _pouring(floor, batch),
    )
    for entry in entries:
        found = found.after([entry.event], entry.at)
    return found


def _pouring(floor: Floor, batch: Batch) -> bool:
    castings = (floor.castings.get(serving.casting) for serving in batch.servings)
    return any(
        coat.batch == batch.serial and coat.begun_at is not None
        for casting in castings
        if casting is not None
        for coat in casting.coats
    )


def _mix_of(shop: Shop, floor: Floor, batch: Batch) -> tuple[Mix, Mapping[str, Material]] | None:
    for serving in batch.servings:
        casting = floor.castings.get(serving.casting)
        if casting is not None and batch.mix in casting.build.mixes:
            return casting.build.mixes[batch.mix], casting.build.materials
    mix = shop.mixes.get(batch.mix)
    return None if mix is None else (mix, shop.materials)


def _mold_of(floor: Floor, casting: str) -> str:
    found = floor.castings.get(casting)
    return found.mold if found is not None else ""
