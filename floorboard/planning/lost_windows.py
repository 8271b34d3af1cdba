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

    from floorboard.floor.floor import Floor
    from floorboard.planning.carry_on import Opening
    from floorboard.planning.shop_problem import ShopProblem
    from floorboard.planning.solution import Placements, Solution
    from floorboard.shop.shop import Shop

# Saying what would have saved a casting takes a plan a casting; beyond this many it is not said.
MOST_EXPLAINED = 3


def lost_windows(
    shop: Shop, floor: Floor, source: ShopProblem, solution: Solution
) -> tuple[list[LostWindow], list[str]]:
    """Return the lost windows of a plan, and sentences on castings that found no place otherwise."""
    lost: list[LostWindow] = []
    notes: list[str] = []
    for serial, opening in _left_out(source, solution).items():
        if opening.closes_at is None:
            notes.append(_no_place(serial, opening, source))
        else:
            explained = len(lost) < MOST_EXPLAINED
            lost.append(_explain(shop, floor, source, serial, opening, explained))
    return lost, notes


def _left_out(source: ShopProblem, solution: Solution) -> dict[str, Opening]:
    found = dict(source.lost)
    for group, ref in zip(source.problem.groups, source.groups, strict=True):
        if ref.kind == "in mold" and solution.placements[group.tasks[0]] is None:
            found[ref.casting] = source.carried.openings[ref.casting]
    return found


def _no_place(serial: str, opening: Opening, source: ShopProblem) -> str:
    what = "demold" if opening.kind == "demold" else f"layer {opening.index + 1}"
    return (
        f"Casting {serial} waits for its {what}, but with all that follows it finds no place in "
        f"anyone's time until {source.horizon.until:%Y-%m-%d %H:%M} UTC."
    )


def _explain(
    shop: Shop,
    floor: Floor,
    source: ShopProblem,
    serial: str,
    opening: Opening,
    explained: bool,
) -> LostWindow:
    closes_at = opening.closes_at
    assert closes_at is not None
    layer, now = opening.index + 1, source.now
    earliest = _earliest(shop, floor, source, serial) if explained else None
    late = ((earliest or max(now, closes_at)) - closes_at).total_seconds()
    if closes_at < now:
        reason = f"The window of layer {layer} closed {span_text((now - closes_at).total_seconds())} ago."
        saved = f"Layer {layer} begun by the time its window closed."
    else:
        reason, saved = _reason(shop, floor, source, serial, opening, explained)
    return LostWindow(
        casting=serial,
        layer=opening.index,
        closes_at=closes_at,
        by_seconds=max(0.0, late),
        reason=reason,
        would_have_saved=saved,
    )


def _reason(
    shop: Shop,
    floor: Floor,
    source: ShopProblem,
    serial: str,
    opening: Opening,
    explained: bool,
) -> tuple[str, str]:
    layer, now = opening.index + 1, source.now
    build = floor.castings[serial].build
    making = mix_times(build.mix_of_layer(opening.index), celsius(floor)).making
    assert opening.closes_at is not None
    left = (opening.closes_at - now).total_seconds()
    if making > left:
        reason = (
            f"Its mix takes {span_text(making)} to make and the window of layer {layer} closes "
            f"in {span_text(left)}."
        )
        return reason, f"The mix begun {span_text(making - left)} ago."
    reason = f"All hands that can lay it are bound until the window of layer {layer} closes."
    saved = f"A recoat window of layer {layer} that stays open longer."
    if not explained:
        return reason, saved
    for supposing, sentence in (
        (Supposing(no_breaks=True), "Working through the break."),
        (Supposing(more_hands=True), "One more pair of hands that can lay it."),
    ):
        if _saved(shop, floor, source, serial, supposing):
            if supposing.no_breaks:
                reason = f"Breaks take the time in which layer {layer} could be laid."
            return reason, sentence
    return reason, saved


def _saved(
    shop: Shop, floor: Floor, source: ShopProblem, serial: str, supposing: Supposing
) -> bool:
    """Return whether a casting would be saved, and no other lost for it."""
    other, placements = _suppose(shop, floor, source, supposing)
    return bool(placements) and _first_ready(other, placements, serial) is not None


def _suppose(
    shop: Shop, floor: Floor, source: ShopProblem, supposing: Supposing
) -> tuple[ShopProblem, Placements]:
    other = build_problem(shop, floor, source.now, begin=False, supposing=supposing)
    return other, first_plan(other.problem).placements


def _earliest(shop: Shop, floor: Floor, source: ShopProblem, serial: str) -> dt.datetime | None:
    """Return when the layer could be laid at the earliest, were its window open for ever."""
    supposing = Supposing(open_ended=frozenset({serial}))
    other, placements = _suppose(shop, floor, source, supposing)
    ready = _first_ready(other, placements, serial) if placements else None
    return None if ready is None else other.grid.moment(ready)


def _first_ready(source: ShopProblem, placements: Placements, serial: str) -> int | None:
    for group, ref in zip(source.problem.groups, source.groups, strict=True):
        if ref.casting == serial and ref.kind == "in mold":
            placed = placements[group.tasks[0]]
            return None if placed is None else placed.ready
    return None
