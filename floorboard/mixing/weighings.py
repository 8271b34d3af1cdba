"""What was really weighed for a ticket, typed or taken from the scale."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, Self

from floorboard.mixing.refusal import refuse
from floorboard.mixing.ticket import Ticket, TicketAddition
from floorboard.shop.base import Definition

if TYPE_CHECKING:
    from collections.abc import Mapping

    from floorboard.shop.materials import Material

Source = Literal["typed", "scale"]


class WeighingCheck(Definition):
    """An actual weight held against its target, in grams; `sentence` says it for a person."""

    target_grams: float
    actual_grams: float
    deviation_grams: float
    allowed_grams: float
    within: bool
    sentence: str


def check_weighing(
    target_grams: float,
    actual_grams: float,
    tolerance_percent: float,
    resolution_grams: float = 0.0,
    name: str = "It",
) -> WeighingCheck:
    """Flag a weight that is further from its target than the tolerance.

    The tolerance is a percentage of the target, but never less than half of what the scale can
    tell apart.
    """
    if not 0 <= actual_grams < float("inf"):
        raise refuse("weight", f"found {actual_grams:g} g, expected nothing or more")
    deviation = actual_grams - target_grams
    allowed = max(target_grams * tolerance_percent / 100.0, resolution_grams / 2)
    within = abs(deviation) <= allowed + 1e-9
    if within:
        sentence = f"{name} is within {allowed:.3g} g of its {target_grams:g} g."
    else:
        way = "over" if deviation > 0 else "under"
        sentence = (
            f"{name} is {abs(deviation):.4g} g {way} its {target_grams:g} g; "
            f"{allowed:.3g} g is allowed. Put it right before the pour."
        )
    return WeighingCheck(
        target_grams=target_grams,
        actual_grams=actual_grams,
        deviation_grams=deviation,
        allowed_grams=allowed,
        within=within,
        sentence=sentence,
    )


class ActualWeight(Definition):
    """Grams of one addition, by its number on the ticket."""

    number: int
    grams: float
    source: Source


class Weighings(Definition):
    """A ticket being weighed. Each taking gives a new value; the one before stays as it was."""

    ticket: Ticket
    actual: tuple[ActualWeight, ...] = ()

    def take(self, number: int, grams: float, source: Source = "typed") -> Self:
        """Note what an addition weighed by itself; a second note replaces the first."""
        addition = self._addition(number)
        if not 0 <= grams < float("inf"):
            raise refuse(addition.material, f"found {grams:g} g, expected nothing or more")
        others = [one for one in self.actual if one.number != number]
        mine = ActualWeight(number=number, grams=grams, source=source)
        actual = tuple(sorted((*others, mine), key=lambda one: one.number))
        return self.model_copy(update={"actual": actual})

    def take_reading(self, number: int, reading_grams: float, source: Source = "scale") -> Self:
        """Note the scale's reading with an addition in: what lay there before is taken off."""
        # A difference of two readings has no more digits than they had.
        grams = round(reading_grams - self.reading_before(number), 6)
        return self.take(number, grams, source)

    def reading_before(self, number: int) -> float:
        """What the scale should show before an addition: the tare and what is really in."""
        taken = {one.number: one.grams for one in self.actual}
        before = (one for one in self.ticket.additions if one.number < number)
        return self.ticket.tare_grams + sum(taken.get(one.number, one.grams) for one in before)

    def reading_to_reach(self, number: int) -> float:
        """What the scale should show with an addition in, after what is really in before it."""
        return self.reading_before(number) + self._addition(number).grams

    @property
    def next_number(self) -> int | None:
        """The first addition not yet weighed, None when all are."""
        taken = {one.number for one in self.actual}
        return next((one.number for one in self.ticket.additions if one.number not in taken), None)

    def checks(
        self, materials: Mapping[str, Material], tolerance_percent: float
    ) -> dict[int, WeighingCheck]:
        """Check every weight so far; a material's own tolerance comes before the shop's."""
        return {one.number: self._check(one, materials, tolerance_percent) for one in self.actual}

    def by_place(self) -> dict[int, float]:
        """Grams so far by the addition's place in its batch, as `correct` takes them."""
        return {self._addition(one.number).place: one.grams for one in self.actual}

    def _check(
        self, one: ActualWeight, materials: Mapping[str, Material], tolerance: float
    ) -> WeighingCheck:
        addition = self._addition(one.number)
        material = materials.get(addition.material)
        own = material.scale_tolerance if material is not None else None
        return check_weighing(
            addition.grams,
            one.grams,
            tolerance if own is None else float(own),
            self.ticket.batch.resolution_grams,
            addition.name,
        )

    def _addition(self, number: int) -> TicketAddition:
        for one in self.ticket.additions:
            if one.number == number:
                return one
        raise refuse(
            "number", f"found {number}, expected 1 to {len(self.ticket.additions)} on this ticket"
        )
