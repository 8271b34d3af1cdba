"""What a plan takes out of the stock, and what it will find short: said when the plan is made."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.mixing.batch import batch_for
from floorboard.mixing.refusal import MixingError
from floorboard.mixing.stock_outlook import ORDER
from floorboard.usecases.batch_ticket import in_shop_units

if TYPE_CHECKING:
    import datetime as dt

    from floorboard.floor.floor import Floor
    from floorboard.planning.plan import Plan, PlannedBatch
    from floorboard.shop.shop import Shop
    from floorboard.usecases.ports import Planner
    from floorboard.usecases.stock_book import StockBook


class StockNotingPlanner:
    """A planner whose plans also say which materials they will find short or expired."""

    def __init__(self, planner: Planner, book: StockBook) -> None:
        self._planner = planner
        self._book = book
        self.notes: tuple[str, ...] = ()

    def plan(
        self, shop: Shop, floor: Floor, now: dt.datetime, previous: Plan | None = None
    ) -> Plan:
        """Return the planner's plan with the notes added."""
        plan = self._planner.plan(shop, floor, now, previous)
        self.notes = stock_notes(self._book, shop, floor, plan, now)
        return self.noted(plan)

    def noted(self, plan: Plan) -> Plan:
        """Return a plan with the notes on the stock: a better plan found later takes much the same."""
        missing = tuple(note for note in self.notes if note not in plan.notes)
        return plan.model_copy(update={"notes": (*plan.notes, *missing)}) if missing else plan

    @property
    def warning(self) -> str:
        """The first thing that the plan will find short or expired, if there is any."""
        return next((note for note in self.notes if not note.startswith(ORDER)), "")


def stock_notes(
    book: StockBook, shop: Shop, floor: Floor, plan: Plan, now: dt.datetime
) -> tuple[str, ...]:
    """Return a sentence for everything the plan takes that is short, expired or to be ordered."""
    taken = committed_grams(shop, floor, plan)
    lines = book.lines(shop, taken, now, plan.until)
    return tuple(
        in_shop_units(shop, remark)
        for line in lines
        if taken.get(line.material) or line.order_now
        for remark in line.remarks
    )


def committed_grams(shop: Shop, floor: Floor, plan: Plan) -> dict[str, float]:
    """Return the grams of each material that the plan still takes.

    Of a batch in hand only what has not been weighed yet; of finishing steps what they use.
    """
    taken: dict[str, float] = {}
    for batch in plan.batches:
        for material, grams in _batch_grams(shop, floor, batch).items():
            taken[material] = taken.get(material, 0.0) + grams
    pieces = {casting.id: casting.piece for casting in plan.castings}
    for task in plan.tasks:
        if task.kind != "step":
            continue
        for casting in task.castings:
            for material, mass in _step_uses(shop, floor, casting, pieces, task.index).items():
                taken[material] = taken.get(material, 0.0) + mass
    return taken


def _batch_grams(shop: Shop, floor: Floor, planned: PlannedBatch) -> dict[str, float]:
    begun = floor.batches.get(planned.id)
    if begun is not None and begun.wetted_at is not None:
        return {}
    known = next(
        (
            (casting.build.mixes[planned.mix], casting.build.materials)
            for serving in planned.servings
            if (casting := floor.castings.get(serving.casting)) is not None
            and planned.mix in casting.build.mixes
        ),
        None,
    )
    mix, materials = known or (shop.mixes.get(planned.mix), shop.materials)
    if mix is None:
        return {}
    try:
        wanted = sum(serving.grams for serving in planned.servings)
        whole = batch_for(mix, materials, wanted, resolution_grams=1e-3).by_material
    except MixingError:
        # What cannot be made takes nothing; the ticket says why it cannot.
        return {}
    there: dict[str, float] = {}
    for weighed in begun.weighed if begun is not None else ():
        there[weighed.material] = there.get(weighed.material, 0.0) + weighed.grams
    return {key: max(0.0, grams - there.get(key, 0.0)) for key, grams in whole.items()}


def _step_uses(
    shop: Shop, floor: Floor, casting: str, pieces: dict[str, str], step: int
) -> dict[str, float]:
    begun = floor.castings.get(casting)
    piece = begun.build.piece if begun is not None else shop.pieces.get(pieces.get(casting, ""))
    if piece is None or step >= len(piece.route):
        return {}
    return {material: float(mass) for material, mass in piece.route[step].uses.items()}
