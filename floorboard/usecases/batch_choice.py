"""Which layers a batch is made for: what the plan proposes, what else could share it, and limits."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING

from floorboard.floor.waits import next_wait
from floorboard.mixing.refusal import MixingError
from floorboard.mixing.working_time import minutes_text
from floorboard.usecases.batch_ticket import serving_grams

if TYPE_CHECKING:
    from collections.abc import Sequence

    from floorboard.floor.casting import Casting
    from floorboard.floor.floor import Floor
    from floorboard.mixing.ticket import Ticket
    from floorboard.planning.plan import Plan
    from floorboard.shop.mixes import Mix
    from floorboard.shop.shop import Shop

ServingKey = tuple[str, int]


@dataclass(frozen=True, slots=True)
class LayerChoice:
    """A layer that waits for a batch. `opens_at` and `closes_at` bound its pour."""

    casting: str
    layer: int
    mold: str
    mix_id: str
    grams: float
    apply_seconds: float
    opens_at: dt.datetime
    closes_at: dt.datetime | None

    @property
    def key(self) -> ServingKey:
        """Casting and layer, as servings name them."""
        return self.casting, self.layer


def layers_waiting(floor: Floor) -> list[LayerChoice]:
    """Return every layer that waits for its batch, the first to close first."""
    served = {
        (serving.casting, serving.layer)
        for batch in floor.open_batches()
        for serving in floor.still_served(batch)
    }
    found = [
        choice
        for casting in floor.open_castings()
        if (choice := _choice(casting)) is not None and choice.key not in served
    ]
    far = dt.datetime.max.replace(tzinfo=dt.UTC)
    return sorted(found, key=lambda one: (one.closes_at or far, one.opens_at, one.casting))


def _choice(casting: Casting) -> LayerChoice | None:
    wait = next_wait(casting)
    if wait is None or wait.kind != "layer" or wait.begun_at is not None or casting.set_aside:
        return None
    layer = casting.build.piece.layers[wait.index]
    try:
        grams = serving_grams(casting, wait.index)
    except MixingError:
        # A layer that comes to nothing is no layer to mix for; the shop check tells of it.
        return None
    return LayerChoice(
        casting=casting.serial,
        layer=wait.index,
        mold=casting.mold,
        mix_id=layer.mix,
        grams=grams,
        apply_seconds=float(layer.apply),
        opens_at=wait.opens_at,
        closes_at=wait.closes_at,
    )


def may_share(
    floor: Floor, waiting: Sequence[LayerChoice], first: LayerChoice
) -> list[LayerChoice]:
    """Return the waiting layers that take the very mix that `first` takes, `first` included."""
    mix = _mix(floor, first)
    return [one for one in waiting if one.mix_id == first.mix_id and _mix(floor, one) == mix]


def _mix(floor: Floor, choice: LayerChoice) -> Mix:
    return floor.castings[choice.casting].build.mixes[choice.mix_id]


def proposed(
    floor: Floor, plan: Plan, person: str, waiting: Sequence[LayerChoice], mold: str | None
) -> tuple[ServingKey, ...]:
    """Return the layers of the batch to make next, in the order they are poured.

    The chosen mold's batch comes first, then the person's next of the plan, then anybody's, then
    whatever closes first.
    """
    keys = {one.key for one in waiting}
    of_mold = [one.key for one in waiting if one.mold == mold] if mold else []
    planned = sorted(
        (batch for batch in plan.batches if not batch.fixed),
        key=lambda batch: (batch.person != person, batch.start),
    )
    molds = {casting.id: casting.mold for casting in plan.castings}
    for batch in planned:
        found = []
        for serving in batch.servings:
            # A casting begun since the plan was made has its serial number by now.
            casting = floor.castings.get(serving.casting) or floor.casting_in(
                molds.get(serving.casting, "")
            )
            if casting is not None and (casting.serial, serving.layer) in keys:
                found.append((casting.serial, serving.layer))
        if found and (not of_mold or of_mold[0] in found):
            return tuple(dict.fromkeys(found))
    return tuple(of_mold[:1] or [one.key for one in waiting[:1]])


def sharing_remarks(
    shop: Shop, ticket: Ticket, chosen: Sequence[LayerChoice], now: dt.datetime
) -> tuple[str, ...]:
    """Say what would go wrong if this batch were begun now and its layers poured in this order."""
    making = ticket.weigh_seconds + sum(stage.stir_seconds for stage in ticket.stages)
    pour = now + dt.timedelta(seconds=making)
    walk = float(shop.shop.walk)
    remarks = []
    for one in chosen:
        name = f"Mold {shop.molds[one.mold].number}" if one.mold in shop.molds else one.mold
        early = (one.opens_at - pour).total_seconds()
        late = (pour - one.closes_at).total_seconds() if one.closes_at is not None else 0.0
        if early > 0:
            remarks.append(f"{name} would be poured {minutes_text(early)} before its cure is over.")
        if late > 0:
            remarks.append(f"{name} would be poured {minutes_text(late)} after its window closed.")
        pour += dt.timedelta(seconds=one.apply_seconds + walk)
    applying = sum(one.apply_seconds for one in chosen) + walk * max(0, len(chosen) - 1)
    left = ticket.working_time.seconds - ticket.mixing_seconds_of_it - float(shop.shop.pour_margin)
    if chosen and applying > left:
        remarks.append(
            f"Applying takes {minutes_text(applying)} and {minutes_text(max(0.0, left))} of the "
            "working time are left for it: leave a layer out, or slow the mix."
        )
    return tuple(remarks)
