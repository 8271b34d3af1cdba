"""The line that calls, over a screen that is not the floor: it looks for itself."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.screens.call_bar import HEARD, CallBar
from floorboard.screens.call_desk import CallDesk

if TYPE_CHECKING:
    from floorboard.usecases.session import Session


class CallOver(CallBar):
    """Shows the call there is, in a line that is not there otherwise.

    `heard` says which key hushes it on this screen.
    """

    def __init__(self, session: Session, *, ascii_only: bool = False, heard: str = HEARD) -> None:
        super().__init__(ascii_only=ascii_only, heard=heard)
        self._session = session

    def on_mount(self) -> None:
        """Look at once, then every second."""
        self.look()
        self.set_interval(1.0, self.look)

    def look(self) -> None:
        """Show the call the board makes now, if it makes one."""
        desk = getattr(self.app, "desk", None)
        call = desk.call if isinstance(desk, CallDesk) else None
        now = self._session.now
        local = now.astimezone(self._session.zone)
        self.show(call, now, f"{local:%H:%M:%S %Z}")
