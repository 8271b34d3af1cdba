"""Which castings in molds no plan can save: by how much, why, and what would have saved them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.planning.build_problem import Supposing, build_problem
from floorboard.planning.day_times import celsius, mix_times
from floorboard.planning.plan import LostWindow
from floorboard.planning.plan_rules.breach import span_text
from floorboard.planning.search import first_plan

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterator

    from floorboard.floor.floor import Floor
    from floorboard.planning.carry_on import Opening
    from floorboard.planning.shop_problem import ShopProblem
    from floorboard.planning.solution import Solution
    from floorboard.shop.shop import Shop

# How late the earliest start would be takes a plan a casting; beyond this many it is not worked out.
MOST_EXPLAINED = 3

WOULD_SAVE = (
    (Supposing(no_breaks=True), "Working through the break."),
    (Supposing(more_hands=True), "One more pair of hands that can lay it."),
)


def lost_windows(
    shop: Shop, floor: Floor, source: ShopProblem, solution: Solution
) -> tuple[list[LostWindow], list[str]]:
    """Return the lost windows of a plan, and sentences on castings that found no place otherwise."""
    return _Explainer(shop, floor, source).explain(solution)


class _Explainer:
    def __init__(self, shop: Shop, floor: Floor, source: ShopProblem) -> None:
        self.shop, self.floor, self.source = shop, floor, source
        self._supposed: dict[Supposing, dict[str, dt.datetime]] = {}

    def explain(self, solution: Solution) -> tuple[list[LostWindow], list[str]]:
        lost: list[LostWindow] = []
        notes: list[str] = []
        for serial, opening in self.left_out(solution):
            if opening.closes_at is None:
                notes.append(self.no_place(serial, opening))
            else:
                explained = len(lost) < MOST_EXPLAINED
                lost.append(self.window(serial, opening, opening.closes_at, explained))
        return lost, notes

    def left_out(self, solution: Solution) -> Iterator[tuple[str, Opening]]:
        yield from self.source.lost.items()
        for group, ref in zip(self.source.problem.groups, self.source.groups, strict=True):
            if ref.kind == "in mold" and solution.placements[group.tasks[0]] is None:
                yield ref.casting, self.source.carried.openings[ref.casting]

    def no_place(self, serial: str, opening: Opening) -> str:
        what = "demold" if opening.kind == "demold" else f"layer {opening.index + 1}"
        return (
            f"Casting {serial} waits for its {what}, but with all that follows it finds no place "
            f"in anyone's time until {self.source.horizon.until:%Y-%m-%d %H:%M} UTC."
        )

    def window(
        self, serial: str, opening: Opening, closes_at: dt.datetime, explained: bool
    ) -> LostWindow:
        now, earliest = self.source.now, None
        if explained:
            open_ended = Supposing(open_ended=frozenset({serial}))
            earliest = self.supposed(open_ended).get(serial)
        late = ((earliest or max(now, closes_at)) - closes_at).total_seconds()
        reason, saved = self.reason(serial, opening, closes_at, explained)
        return LostWindow(
            casting=serial,
            layer=opening.index,
            closes_at=closes_at,
            by_seconds=max(0.0, late),
            reason=reason,
            would_have_saved=saved,
        )

    def reason(
        self, serial: str, opening: Opening, closes_at: dt.datetime, explained: bool
    ) -> tuple[str, str]:
        layer = opening.index + 1
        left = (closes_at - self.source.now).total_seconds()
        if left < 0:
            return (
                f"The window of layer {layer} closed {span_text(-left)} ago.",
                f"Layer {layer} begun by the time its window closed.",
            )
        mix = self.floor.castings[serial].build.mix_of_layer(opening.index)
        making = mix_times(mix, celsius(self.floor)).making
        if making > left:
            return (
                f"Its mix takes {span_text(making)} to make and the window of layer {layer} closes "
                f"in {span_text(left)}.",
                f"The mix begun {span_text(making - left)} ago.",
            )
        reason = f"All hands that can lay it are bound until the window of layer {layer} closes."
        for supposing, sentence in WOULD_SAVE if explained else ():
            if serial in self.supposed(supposing):
                if supposing.no_breaks:
                    reason = f"Breaks take the time in which layer {layer} could be laid."
                return reason, sentence
        return reason, f"A recoat window of layer {layer} that stays open longer."

    def supposed(self, supposing: Supposing) -> dict[str, dt.datetime]:
        """Return when the next layer of each casting in a mold would start, were things so."""
        known = self._supposed.get(supposing)
        if known is not None:
            return known
        other = build_problem(
            self.shop, self.floor, self.source.now, begin=False, supposing=supposing
        )
        placements, found = first_plan(other.problem).placements, {}
        for group, ref in zip(other.problem.groups, other.groups, strict=True):
            placed = placements[group.tasks[0]] if placements else None
            if ref.kind == "in mold" and placed is not None:
                found[ref.casting] = other.grid.moment(placed.ready)
        self._supposed[supposing] = found
        return found
