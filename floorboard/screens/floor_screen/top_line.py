"""The line at the top: shop, day and time in the shop's zone, the day's counts, the plan's age."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from rich.cells import cell_len
from rich.text import Text
from textual.widget import Widget

from floorboard.screens import looks
from floorboard.screens.fit import fit

if TYPE_CHECKING:
    from rich.console import RenderableType


@dataclass(frozen=True, slots=True)
class TopLineView:
    """What the top line says.

    `counts` are phrases; those at the end are left out first when it is narrow.
    """

    shop: str
    clock: str
    counts: tuple[str, ...] = ()
    warning: str = ""


class TopLine(Widget):
    """The line at the top of the board."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._view = TopLineView("", "")

    def show(self, view: TopLineView) -> None:
        """Show a new top line."""
        if view != self._view:
            self._view = view
            self.refresh()

    def render(self) -> RenderableType:
        """Draw what there is room for."""
        left, middle, right = laid_out(self._view, self.content_size.width)
        look = looks.palette_of(self.app.theme)
        warned = look.badge("closing") if self._view.warning else ""
        return Text.assemble((left, "bold"), (middle, warned), (right, "bold"), no_wrap=True)


LEAST_SHOP = 12


def laid_out(view: TopLineView, width: int) -> tuple[str, str, str]:
    """Return shop, counts or warning, and clock, together exactly `width` cells wide."""
    right = f" {view.clock} "
    room = width - cell_len(right)
    if room < LEAST_SHOP:
        return "", "", fit(right.strip(), width)
    shop = f" {view.shop} "
    if view.warning:
        shop = fit(shop, min(cell_len(shop), LEAST_SHOP))
        return shop, fit(f" {view.warning}", room - cell_len(shop)), right
    shop = fit(shop, min(cell_len(shop), room))
    middle = ""
    for phrase in view.counts:
        longer = f"{middle}, {phrase}" if middle else f" {phrase}"
        if cell_len(longer) + 1 > room - cell_len(shop):
            break
        middle = longer
    return shop, fit(middle, room - cell_len(shop)), right
