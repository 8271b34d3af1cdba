"""Run the board, and open it again should something unforeseen end it."""

from __future__ import annotations

import contextlib
from pathlib import Path
from typing import TYPE_CHECKING

from floorboard.floor.clock import steady_seconds
from floorboard.screens.first_look import Opening
from floorboard.shop.errors import FloorboardError

if TYPE_CHECKING:
    from collections.abc import Callable

    from floorboard.screens.app import BoardApp
    from floorboard.screens.fault_log import FaultLog
    from floorboard.screens.settings import BoardSettings
    from floorboard.usecases.ports import Betterer
    from floorboard.usecases.session import Session

# What is wrong with the database stays on screen for so long.
TOLD_SECONDS = 600.0
# A board that stumbles so often within so long would only flicker.
MOST_FAULTS = 3
WITHIN_SECONDS = 60.0


class BoardFault(FloorboardError):
    """The board cannot be shown; the log is safe all the same."""


def fault_file() -> Path:
    """Return where faults of the program are written down."""
    from platformdirs import user_log_path

    return user_log_path("floorboard") / "faults.log"


def run_board(
    opening: Opening,
    *,
    light: bool,
    ascii_only: bool,
    settings: BoardSettings,
    watched: Path | None = None,
) -> None:
    """Run the app until it is quit; `watched` is a database to check and back up meanwhile.

    Raises
    ------
    BoardFault
        If it cannot be shown.
    floorboard.shop.errors.FloorboardError
        If the session cannot be opened.
    """
    from floorboard.screens.app import BoardApp
    from floorboard.screens.fault_log import FaultLog

    faults = FaultLog(fault_file())
    opened: list[Session] = []
    shown: list[BoardApp] = []

    def open_session() -> Session:
        from floorboard.cli.report_files import ReportFiles

        session = opening.open_session()
        session.reports = ReportFiles(Path.cwd(), session.store)
        opened.append(session)
        return session

    def betterer() -> Betterer:
        from floorboard.cli.compose import betterer_of

        return betterer_of(opened[0])

    def open_app(fault: str) -> BoardApp:
        if not opened and opening.look is None:
            open_session()
        app = BoardApp(
            opened[0] if opened else Opening(opening.look, open_session),
            light=light,
            ascii_only=ascii_only,
            settings=settings,
            betterer=betterer,
            faults=faults,
            fault=fault,
        )
        shown[:] = [app]
        return app

    def tell(sentence: str) -> None:
        app = shown[0]
        app.call_later(app.notify, sentence, severity="error", timeout=TOLD_SECONDS, markup=False)

    with contextlib.ExitStack() as stack:
        if watched is not None:
            from floorboard.cli.watch import StoreWatch

            stack.enter_context(StoreWatch(watched, tell))
        try:
            keep_open(open_app, faults)
        finally:
            # So that the one file holds everything, for whoever copies it.
            for session in opened:
                session.store.close()


def keep_open(
    open_app: Callable[[str], BoardApp],
    faults: FaultLog,
    steady: Callable[[], float] = steady_seconds,
) -> None:
    """Run an app until it is quit; one that a fault ended is opened anew, but not for ever.

    Parameters
    ----------
    open_app
        Makes an app. It is given a sentence on the fault that ended the one before, "" at first.

    Raises
    ------
    floorboard.shop.errors.FloorboardError
        If it stumbled three times within a minute, or is shown in a browser, whose page opens it
        anew by itself; at once if the database is gone.
    """
    from floorboard.screens.place import is_served

    stumbled: list[float] = []
    said = ""
    while True:
        app = open_app(said)
        app.run()
        if app.fault is None:
            return
        # The store is imported after the first frame.
        from floorboard.store.errors import DatabaseGone

        said = faults.note("showing the board", app.fault, app.moment)
        stumbled = [at for at in stumbled if steady() - at < WITHIN_SECONDS] + [steady()]
        unopened = isinstance(app.fault, FloorboardError) and not app.has_session
        if isinstance(app.fault, DatabaseGone) or unopened:
            # Opening again can only meet the same gap, or log into another database.
            raise app.fault
        if len(stumbled) >= MOST_FAULTS or is_served():
            if isinstance(app.fault, FloorboardError):
                raise app.fault
            raise BoardFault(
                f"The board cannot be shown: it met with a {type(app.fault).__name__}. Every entry "
                f"is kept, and can be read with: floorboard log\n{said}"
            )
