"""The mix desk on a board: keys pressed one after the other, with the clock in hand."""

from __future__ import annotations

from contextlib import asynccontextmanager
from typing import TYPE_CHECKING

from floorboard.screens.app import BoardApp
from floorboard.screens.settings import BoardSettings
from floorboard.screens.ticket_screen.ticket_screen import TicketScreen
from tests.board_run import settled
from tests.desk_shop import Desk
from tests.usecases.test_weighing import LOTS

if TYPE_CHECKING:
    from collections.abc import AsyncIterator
    from pathlib import Path

    from textual.pilot import Pilot

    from floorboard.shop.shop import Shop
    from floorboard.usecases.bench_scale import BenchScale


class DeskRun:
    """A running board with its desk."""

    def __init__(self, desk: Desk, app: BoardApp, pilot: Pilot[None]) -> None:
        self.desk = desk
        self.app = app
        self.pilot = pilot

    async def press(self, *keys: str) -> None:
        """Press keys, each after the plan has settled and a blink has passed."""
        for key in keys:
            gate = getattr(self.app.screen, "gate", None)
            if gate is not None:
                gate.forget()
            await self.pilot.press(key)
            await settled(self.pilot)

    async def type(self, text: str) -> None:
        """Type digits."""
        await self.press(*("full_stop" if c == "." else "space" if c == " " else c for c in text))

    async def fill(self, text: str) -> None:
        """Type an answer into a dialog, and take it."""
        for character in text:
            await self.pilot.press("space" if character == " " else character)
        await self.press("enter")

    def forward(self, minutes: float) -> None:
        """Let time go by, and show it."""
        self.desk.forward(minutes)
        screen = self.app.screen
        if isinstance(screen, TicketScreen):
            screen.show_ticket()

    @property
    def ticket(self) -> TicketScreen:
        """The ticket screen on top."""
        assert isinstance(self.app.screen, TicketScreen)
        return self.app.screen

    @property
    def said(self) -> str:
        """What the screen says at its foot."""
        return str(self.app.screen.query_one("#said").render())

    def shown(self, part: str = "") -> str:
        """Return the text of a part of the screen, or of all of it."""
        lines = self.app.screen._compositor.render_strips()
        text = ["".join(segment.text for segment in strip) for strip in lines]
        if not part:
            return "\n".join(text)
        region = self.app.screen.query_one(f"#{part}").region
        return "\n".join(line[region.x : region.right] for line in text[region.y : region.bottom])

    def kinds(self) -> list[str]:
        """Return the kinds of the entries logged, oldest first, the shop's own left out."""
        return [entry.event.kind for entry in reversed(self.desk.store.latest(200))][1:]


@asynccontextmanager
async def desk_run(
    folder: Path,
    *molds: str,
    size: tuple[int, int] = (80, 24),
    shop: Shop | None = None,
    scale: BenchScale | None = None,
    lots: bool = True,
) -> AsyncIterator[DeskRun]:
    """Run a board whose molds are readied for their first layer."""
    desk = Desk(folder, shop)
    if lots:
        desk.receive(*LOTS)
    desk.begin(*molds)
    app = BoardApp(desk.session, settings=BoardSettings(scale=scale))
    async with app.run_test(size=size) as pilot:
        run = DeskRun(desk, app, pilot)
        await settled(pilot)
        yield run
    desk.close()
