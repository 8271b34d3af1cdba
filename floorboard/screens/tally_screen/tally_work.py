"""Takes tallies and writes reports beside the tally screen, in threads that can be stopped."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from textual import work
from textual.message import Message
from textual.worker import get_current_worker

from floorboard.screens.screen_work import ScreenWork, lets_go
from floorboard.shop.errors import FloorboardError
from floorboard.usecases.watched_tally import Progress, Stopped, watched_tally

if TYPE_CHECKING:
    from pathlib import Path

    from textual.worker import Worker

    from floorboard.records.tally_model import Tally
    from floorboard.screens.tally_screen.which_days import WhichDays
    from floorboard.usecases.session import Session


class TallyWork(ScreenWork):
    """A screen that has tallies taken; it is told by messages how far they are and what came."""

    doing: ClassVar[dict[str, str]] = {"tally": "taking the tally", "save": "writing a report"}

    session: Session
    which: WhichDays
    _worker: Worker[None] | None = None

    @dataclass
    class Went(Message):
        """The tally being taken has come so far."""

        progress: Progress

    @dataclass
    class Taken(Message):
        """A tally was taken."""

        which: WhichDays
        tally: Tally
        seq: int

    @dataclass
    class Saved(Message):
        """A report was written."""

        path: Path

    def failed(self, doing: str) -> None:
        """Say that it could not be done."""
        self.post_message(self.Refused(f"Something went wrong {doing}."))

    def on_unmount(self) -> None:
        """Stop what is being taken: nobody waits for it."""
        if self._worker is not None:
            self._worker.cancel()

    def ask(self, which: WhichDays) -> None:
        """Have a tally taken; the one shown stays until it is there."""
        self.which = which
        self._worker = self._take(which)

    @work(thread=True, exclusive=True, group="tally", exit_on_error=False)
    @lets_go
    def _take(self, which: WhichDays) -> None:
        worker = get_current_worker()
        session = self.session
        shop, seq = session.shop, session.floor.last_seq

        def look(progress: Progress) -> None:
            if worker.is_cancelled:
                raise Stopped("Stopped.")
            self.post_message(self.Went(progress))

        try:
            stretch, title = which.stretch(shop, session.now)
            with session.store.history() as history:
                tally = watched_tally(history, shop, stretch, title, which.order, look)
        except Stopped:
            return
        except FloorboardError as refusal:
            self.post_message(self.Refused(str(refusal)))
            return
        self.post_message(self.Taken(which, tally, seq))

    @property
    def taking(self) -> bool:
        """Whether a tally is being taken."""
        return self._worker is not None and self._worker.is_running

    @work(thread=True, group="save", exit_on_error=False)
    @lets_go
    def save_as(self, kind: str, tally: Tally) -> None:
        """Write a tally as a file."""
        reports = self.session.reports
        if reports is None:
            return
        try:
            path = reports.save(kind, tally)
        except FloorboardError as refusal:
            self.post_message(self.Refused(str(refusal)))
            return
        self.post_message(self.Saved(path))
