"""The line at the top: shop, day and time in the shop's zone, the day's counts, the plan's age."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from rich.text import Text
from textual.widget import Widget

from floorboard.screens.fit import fit

if TYPE_CHECKING:
    from rich.console import RenderableType


@dataclass(frozen=True, slots=True)
class TopLineView:
    """What the top line says; `counts` and `plan` are left out first when it is narrow."""

    shop: str
    clock: str
    counts: str = ""
    plan: str = ""
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
        view, width = self._view, self.content_size.width
        right = f" {view.clock} "
        middle = f"{view.warning}" if view.warning else view.counts
        tail = f"  {view.plan}" if view.plan and width >= 110 else ""
        room = width - len(right)
        if room < 10:
            return Text(fit(right.strip(), width), style="bold")
        shop_room = min(len(view.shop) + 1, max(10, room - len(middle) - len(tail) - 3))
        rest = room - shop_room - 1
        left = " " + fit(view.shop, shop_room)
        body = fit(f" {middle}{tail}", rest) if rest > 0 else ""
        return Text.assemble((left, "bold"), body, (right, "bold"), no_wrap=True)
