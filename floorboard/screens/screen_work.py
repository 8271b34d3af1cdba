"""A screen with threads of its own: what goes wrong in one is said and written down."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, ClassVar

from textual.screen import Screen
from textual.worker import WorkerState

from floorboard.screens.faults import Faults

if TYPE_CHECKING:
    from textual.worker import Worker


class ScreenWork(Screen[None]):
    """Tells the app of workers that failed; `doing` says in words what each group does."""

    doing: ClassVar[dict[str, str]] = {}

    def failed(self, doing: str) -> None:
        """Say on the screen that something could not be done."""

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        """Say so when a worker failed; the screen goes on with what it has."""
        worker: Worker[Any] = event.worker
        if event.state is not WorkerState.ERROR or worker.error is None:
            return
        doing = self.doing.get(worker.group, worker.group)
        if isinstance(self.app, Faults):
            self.app.stumbled(doing, worker.error)
        self.failed(doing)
