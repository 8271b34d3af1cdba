"""A screen with threads of its own: what goes wrong in one is said and written down."""

from __future__ import annotations

from dataclasses import dataclass
from functools import wraps
from typing import TYPE_CHECKING, Any, ClassVar, ParamSpec, TypeVar

from textual.message import Message
from textual.screen import Screen
from textual.worker import WorkerState, active_worker

from floorboard.screens.faults import Faults

if TYPE_CHECKING:
    from collections.abc import Callable

    from textual.worker import Worker

P = ParamSpec("P")
R = TypeVar("R")


def lets_go(job: Callable[P, R]) -> Callable[P, R]:
    """Decorate what is done in a thread, so that the thread keeps nothing of it afterwards."""

    @wraps(job)
    def done(*args: P.args, **kwargs: P.kwargs) -> R:
        try:
            return job(*args, **kwargs)
        finally:
            # Textual 8.2.8 leaves the worker in the context of the thread, which waits for more to
            # do, and with the worker its screen.
            active_worker.set(None)  # type: ignore[arg-type]

    return done


class ScreenWork(Screen[None]):
    """Tells the app of workers that failed; `doing` says in words what each group does."""

    doing: ClassVar[dict[str, str]] = {}

    @dataclass
    class Refused(Message):
        """What a thread was to do cannot be done; the words say why."""

        words: str

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
