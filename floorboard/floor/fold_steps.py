"""How entries change a casting on its finishing route."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.floor import events as e
from floorboard.floor.flags import GRACE_SECONDS, flag, in_words
from floorboard.floor.waits import next_wait

if TYPE_CHECKING:
    from collections.abc import Callable

    from floorboard.floor.casting import Casting


def _step_begun(casting: Casting, entry: e.Entry, index: int) -> None:
    if not _step_fits(casting, entry, index):
        return
    step = casting.steps[index]
    if step.begun_at is not None or step.done_at is not None:
        flag(casting, entry, "twice", f"Step {index + 1} was begun twice.")
        return
    _check_step(casting, entry, index)
    step.begun_at, step.person = entry.at, entry.person


def _step_done(casting: Casting, entry: e.Entry, index: int) -> None:
    if not _step_fits(casting, entry, index):
        return
    step = casting.steps[index]
    if step.done_at is not None:
        flag(casting, entry, "twice", f"Step {index + 1} was done twice.")
        return
    if step.begun_at is None:
        _check_step(casting, entry, index)
    step.done_at, step.person = entry.at, entry.person or step.person


def _step_fits(casting: Casting, entry: e.Entry, index: int) -> bool:
    if index >= len(casting.steps):
        flag(
            casting, entry, "unknown", f"The route has {len(casting.steps)} steps, not {index + 1}."
        )
        return False
    if casting.demolded_at is None:
        flag(casting, entry, "out of order", "Finishing was logged before the demold.")
    return True


def _check_step(casting: Casting, entry: e.Entry, index: int) -> None:
    wait = next_wait(casting)
    if wait is None or wait.kind != "step":
        return
    if wait.index != index:
        flag(casting, entry, "out of order", f"Step {wait.index + 1} is not done yet.")
        return
    early = (wait.opens_at - entry.at).total_seconds()
    if early > GRACE_SECONDS:
        what = "dry" if wait.behind == "drying" else "cured"
        message = f"Taken up {in_words(early)} before it was {what}."
        flag(casting, entry, "not dry" if what == "dry" else "waiting time", message, early)
    late = (entry.at - wait.closes_at).total_seconds() if wait.closes_at is not None else 0.0
    if late > GRACE_SECONDS:
        message = f"Taken up {in_words(late)} after it should have been."
        flag(casting, entry, "start by", message, late)


STEP_HANDLERS: dict[type[e.Event], Callable[[Casting, e.Entry, int], None]] = {
    e.StepBegun: _step_begun,
    e.StepDone: _step_done,
}
