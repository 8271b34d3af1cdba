"""What happens when something nobody foresaw goes wrong in the board: say so, and go on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.app import App

from floorboard.floor.clock import SystemClock

if TYPE_CHECKING:
    import datetime as dt

    from floorboard.screens.fault_log import FaultLog
    from floorboard.usecases.session import Session

OPENED_AGAIN = "The board stumbled and was opened again; every entry is kept. Space: heard"


class Faults(App[None]):
    """The part of the app that deals with faults of the program."""

    session: Session
    faults: FaultLog
    fault_text = ""
    fault: Exception | None = None
    _shown: frozenset[tuple[str, str]] = frozenset()

    @property
    def moment(self) -> dt.datetime:
        """This moment by the session's clock; by the machine's before there is a session."""
        return self.session.now if self.has_session else SystemClock().now()

    @property
    def has_session(self) -> bool:
        """Whether the session is open; the first look is painted before it is."""
        return hasattr(self, "session")

    def stumbled(self, doing: str, error: BaseException) -> None:
        """Write a fault down, and show where; one that comes back is shown only once."""
        where = self.faults.note(doing, error, self.moment)
        kind = (doing, type(error).__name__)
        if kind not in self._shown:
            self._shown |= {kind}
            self.notify(where, title="Something went wrong", severity="error", markup=False)

    def _handle_exception(self, error: Exception) -> None:
        # Textual 8.2.8 calls this with whatever no handler caught; the loop it came from is over,
        # so the app has to end. In a test it is raised again there; at a terminal the caller opens
        # a new board, and pages of traceback would only hide it.
        super()._handle_exception(error)
        if self.fault is None:
            self.fault = error
        if not self.is_headless:
            self._exit_renderables.clear()
