"""Whose confirm key it is: one person at a board, the same on every screen."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from floorboard.screens.floor_screen.floor_screen import FloorScreen

if TYPE_CHECKING:
    from textual.app import App

    from floorboard.usecases.session import Session


def floor_beneath(app: App[Any]) -> FloorScreen | None:
    """Return the floor screen that other screens lie over."""
    return next((screen for screen in app.screen_stack if isinstance(screen, FloorScreen)), None)


def person_at(app: App[Any], session: Session) -> str:
    """Return whose key it is; the shop's first person where nobody has been chosen."""
    floor = floor_beneath(app)
    people = session.shop.people
    if floor is not None and floor.active in people:
        return floor.active
    return next(iter(people))
