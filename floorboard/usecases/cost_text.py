"""Costs as lines of text, for commands and screens."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.usecases.press_words import step_name

if TYPE_CHECKING:
    from collections.abc import Iterator

    from floorboard.mixing.cost import Cost
    from floorboard.shop.shop import Shop
    from floorboard.usecases.cost_reports import OrderCostReport, PieceCostReport, ScrapReport
    from floorboard.usecases.costs import CastingCostSoFar


def money(shop: Shop, amount: float) -> str:
    """Return an amount of the shop's money: "12.34 EUR"."""
    return f"{amount:,.2f} {shop.shop.currency}".replace(",", " ").rstrip()


def cost_line(shop: Shop, what: str, found: Cost) -> str:
    """Return a line: what it is for, materials, hands and both together."""
    return (
        f"  {what:<28}{money(shop, found.materials):>14}{money(shop, found.hands):>14}"
        f"{money(shop, found.total):>14}"
    )


def _head() -> str:
    return f"  {'':<28}{'materials':>14}{'hands':>14}{'together':>14}"


def _unpriced(found: Cost) -> Iterator[str]:
    if found.unpriced:
        yield f"! Without a price, so left out: {', '.join(found.unpriced)}."


def casting_text(shop: Shop, found: CastingCostSoFar) -> Iterator[str]:
    """Yield a casting's cost for people."""
    rejected = f", rejected for {found.rejected_for}" if found.rejected_for else ""
    yield f"Casting {found.casting} of {found.piece}{rejected}, so far:"
    yield _head()
    for layer in found.layers:
        batch = f", batch {layer.batch}" if layer.batch else ""
        yield cost_line(shop, f"layer {layer.layer + 1}{batch}", layer.cost)
    yield cost_line(shop, "readying and demolding", found.handling)
    route = shop.pieces[found.piece].route if found.piece in shop.pieces else ()
    for step in found.steps:
        known = route[step.step] if step.step < len(route) else None
        name = step_name(known) if known is not None else f"step {step.step + 1}"
        yield cost_line(shop, name[:27], step.cost)
    yield cost_line(shop, "in all", found.whole)
    yield from _unpriced(found.whole)


def piece_text(shop: Shop, found: PieceCostReport) -> Iterator[str]:
    """Yield a piece's cost for people."""
    yield f"{found.name}, one casting by its definitions, every layer mixed by itself:"
    yield _head()
    for index, layer in enumerate(found.as_defined.layers):
        yield cost_line(shop, f"layer {index + 1}", layer)
    yield cost_line(shop, "readying and demolding", found.as_defined.handling)
    for step, one in zip(shop.pieces[found.piece].route, found.as_defined.steps, strict=True):
        if not step.passive:
            yield cost_line(shop, step_name(step)[:27], one)
    yield cost_line(shop, "in all", found.as_defined.whole)
    yield f"As made: {found.ended} ended in these days, {found.good} of them good."
    if found.ended:
        yield cost_line(shop, "spent on all of them", found.spent)
    if found.each_good is not None:
        yield cost_line(shop, "each good one bears", found.each_good)
    yield from _unpriced(found.as_defined.whole)


def order_text(shop: Shop, found: OrderCostReport) -> Iterator[str]:
    """Yield an order's cost for people."""
    yield (
        f"Order {found.order}: {found.quantity} of {found.piece}; {found.begun} begun, "
        f"{found.good} good, {found.rejected} rejected."
    )
    yield _head()
    yield cost_line(shop, "spent so far", found.spent)
    yield cost_line(shop, "expected in all", found.expected)
    yield from _unpriced(found.expected)


def scrap_text(shop: Shop, found: ScrapReport) -> Iterator[str]:
    """Yield scrap's cost for people."""
    if not found.lines and not found.lost_batches:
        yield "Nothing was scrapped in these days."
        return
    yield _head()
    for line in found.lines:
        known = shop.reasons.get(line.reason)
        name = known.name if known is not None else line.reason
        yield cost_line(shop, f"{line.castings} for {name.lower()}"[:27], line.cost)
    if found.lost_batches:
        yield cost_line(shop, f"{found.lost_batches} batches lost", found.lost)
    yield cost_line(shop, "in all", found.whole)
    yield from _unpriced(found.whole)
