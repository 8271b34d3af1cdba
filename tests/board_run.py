"""A board over a real store and the real planner, on a clock that stands still until moved."""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING

from floorboard.cli.compose import ShopPlanner
from floorboard.floor.clock import FixedClock
from floorboard.screens.app import BoardApp
from floorboard.screens.casting_keys import CastingKeys
from floorboard.store.sqlite_store import open_store
from floorboard.usecases.session import Session
from tests.tiny_shop import START, tiny_shop

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from textual.pilot import Pilot

    from floorboard.shop.shop import Shop


@contextmanager
def session_on(path: Path, shop: Shop | None = None) -> Iterator[tuple[Session, FixedClock]]:
    """Open a session on a database, with the shop loaded if the database is new."""
    clock = FixedClock(START)
    store = open_store(path)
    if store.shop() is None:
        store.load_shop(
            shop or tiny_shop(), source="test", at=clock.now(), person=None, station="bench"
        )
    try:
        yield Session(store, ShopPlanner(), clock, "bench"), clock
    finally:
        store.close()


def board(session: Session) -> BoardApp:
    """Return the app on a session."""
    return BoardApp(session)


async def settled(pilot: Pilot[None]) -> None:
    """Wait until the plan being drawn up is followed, and the day counted."""
    app = pilot.app
    assert isinstance(app, BoardApp)
    await pilot.pause()
    while app.planning or app.counting:
        await app.workers.wait_for_complete()
        await pilot.pause()


async def press(pilot: Pilot[None], *keys: str) -> None:
    """Press keys one after the other, each after the plan has settled.

    The guard against two presses within a blink goes by the machine's clock, which a test does not
    wait for: it is reset between presses.
    """
    for key in keys:
        screen = pilot.app.screen
        if isinstance(screen, CastingKeys):
            screen.gate.forget()
        await pilot.press(key)
        await settled(pilot)
