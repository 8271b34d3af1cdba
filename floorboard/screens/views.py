"""The views of the board: one line a view, its key, and where its screen is defined.

A view's module is imported only when it is first opened, so that the floor paints at once.
"""

from __future__ import annotations

import importlib
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from textual.binding import Binding

if TYPE_CHECKING:
    from textual.screen import Screen

    from floorboard.usecases.session import Session


@dataclass(frozen=True, slots=True)
class View:
    """A view: its name, its keys, its label and tip, and "module:class" under `screens`."""

    name: str
    keys: str
    label: str
    tip: str
    where: str
    in_footer: bool = False


FLOOR = "floor"
FAR = "far"
VIEWS: tuple[View, ...] = (
    View(
        FAR,
        "slash",
        "Far",
        "The next action, to be read from across the shop",
        "far_screen.far_screen:FarScreen",
        in_footer=True,
    ),
    View(
        "hands",
        "h",
        "Hands",
        "The hands chart: who does what through the day",
        "hands_screen.hands_screen:HandsScreen",
        in_footer=True,
    ),
    View(
        "tally",
        "t",
        "Tally",
        "The counts of a day, a week, a year or an order",
        "tally_screen.tally_screen:TallyScreen",
        in_footer=True,
    ),
    View(
        "finishing",
        "f",
        "Finishing",
        "The finishing and drying queue: steps, weighings, air",
        "finishing_screen.finishing_screen:FinishingScreen",
        in_footer=True,
    ),
    View(
        "ticket",
        "m",
        "Ticket",
        "What to weigh now, in type that is read from the bench",
        "ticket_screen.ticket_screen:TicketScreen",
        in_footer=True,
    ),
    View(
        "stock",
        "o",
        "Stock",
        "Lots, what is on hand, what the plan takes, traces",
        "stock_screen.stock_screen:StockScreen",
    ),
    View(
        "charts",
        "d",
        "Charts",
        "The day against the plan, hands by the hour, molds, weights",
        "charts_screen.charts_screen:ChartsScreen",
    ),
    View(
        "what-if",
        "i",
        "What if",
        "What other molds, people, accelerator or buckets would bring",
        "whatif_screen.whatif_screen:WhatIfScreen",
    ),
    View(
        "log",
        "l",
        "Log",
        "Search the log, strike any entry",
        "log_screen.log_screen:LogScreen",
    ),
    View(
        "setup",
        "s",
        "Set-up",
        "People, materials, mixes, pieces, molds, orders",
        "setup_screen.setup_screen:SetupScreen",
    ),
)


def view_bindings() -> list[Binding]:
    """Return the key bindings that open the views."""
    return [
        Binding(
            view.keys,
            f"open_view('{view.name}')",
            view.label,
            show=view.in_footer,
            tooltip=view.tip,
            id=f"view-{view.name}",
        )
        for view in VIEWS
    ]


def screen_of(name: str, session: Session, *, ascii_only: bool) -> Screen[Any]:
    """Import and make a view's screen.

    Raises
    ------
    KeyError
        If there is no such view.
    """
    view = {view.name: view for view in VIEWS}[name]
    module, _, class_name = view.where.partition(":")
    kind = getattr(importlib.import_module(f"floorboard.screens.{module}"), class_name)
    screen: Screen[Any] = kind(session, ascii_only=ascii_only)
    return screen
