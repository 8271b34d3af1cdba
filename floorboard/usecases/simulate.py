"""People who follow the plan: they press each key when its work is done, give or take.

Drives a real session, its store and its planner, on a clock of its own. For the demo's day, for
tests of whole days, and for the long runs.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING

from floorboard.floor.waits import next_wait
from floorboard.usecases.stage_times import stage_seconds

if TYPE_CHECKING:
    import random

    from floorboard.floor.clock import FixedClock
    from floorboard.usecases.presses import Press
    from floorboard.usecases.session import Session

# With nothing to press, look again after this long.
IDLE_STEP_SECONDS = 300.0


@dataclass(frozen=True, slots=True)
class Step:
    """A press and when it will be made."""

    at: dt.datetime
    person: str
    press: Press


@dataclass(slots=True)
class Crew:
    """The shop's people at work on a session.

    `spread` is the relative standard deviation of how long work takes against its planned time.
    """

    session: Session
    clock: FixedClock
    rng: random.Random
    spread: float = 0.08
    presses: int = 0

    def work_until(self, end: dt.datetime) -> None:
        """Work until a moment, planning anew after every press."""
        last_press: dict[str, dt.datetime] = {}
        while self.clock.now() < end:
            self.session.replan()
            step = self._next_step(last_press)
            if step is None or step.at > end:
                pause = dt.timedelta(seconds=IDLE_STEP_SECONDS)
                self.clock.at = min(end, self.clock.now() + pause)
                if step is not None and step.at <= self.clock.at:
                    self.clock.at = step.at
                continue
            self.clock.at = max(self.clock.now(), step.at)
            self.session.confirm(step.press)
            self.presses += 1
            last_press[step.person] = self.clock.now()

    def _next_step(self, last_press: dict[str, dt.datetime]) -> Step | None:
        steps = []
        for person in self.session.shop.people:
            press = self.session.press_for(person)
            if press is not None:
                steps.append(Step(self._when(person, press, last_press), person, press))
        return min(steps, key=lambda step: step.at, default=None)

    def _when(self, person: str, press: Press, last_press: dict[str, dt.datetime]) -> dt.datetime:
        task = self.session.floor.in_hand(person)
        if task is None:
            planned = next(t for t in self.session.plan.for_person(person) if not t.fixed)
            return max(self.clock.now(), planned.start)
        seconds = stage_seconds(self.session.floor, press)
        # Work is seldom much quicker than planned and now and then a good deal slower.
        factor = min(1.6, max(0.85, self.rng.gauss(1.0, self.spread)))
        done = last_press.get(person, task.since) + dt.timedelta(seconds=seconds * factor)
        return max(done, self.clock.now(), *self._opens(press))

    def _opens(self, press: Press) -> list[dt.datetime]:
        """Return when the layer a press pours opens: nobody pours before the cure is reached."""
        if press.kind != "begin layer":
            return []
        wait = next_wait(self.session.floor.castings[press.castings[0]])
        return [wait.opens_at] if wait is not None else []
