"""Learned times as one value; durations are minutes of one casting's task."""

from __future__ import annotations

import datetime as dt
from typing import Literal

from pydantic import BaseModel, ConfigDict


class TimesPart(BaseModel):
    """A frozen part of the report."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class PersonTime(TimesPart):
    """One person's middle time of a task, where there are enough to tell."""

    person: str
    name: str
    samples: int
    median_minutes: float


class TimeLine(TimesPart):
    """One hands-on task: the shop's own time, the time learned, and which the planner uses.

    `task` is what a decision names it by. `decided` is the last decision in the log, None where
    there was none; the planner uses the learned time unless told no.
    """

    task: str
    name: str
    stated_minutes: float
    learned_minutes: float | None
    planned_minutes: float
    uses: Literal["learned", "stated"]
    decided: Literal["learned", "stated"] | None
    samples: int
    set_aside: int
    median_minutes: float | None
    reason: str
    people: tuple[PersonTime, ...]


class DayErrorLine(TimesPart):
    """How far planned times were from a day's, as shares: 0.25 off is a quarter.

    Planned is what could be known the day before. `stated_off` is what the shop's own times would
    have been off.
    """

    day: dt.date
    tasks: int
    off: float
    bias: float
    stated_off: float


class TimesReport(TimesPart):
    """Times of all tasks, and whether the plan is getting better."""

    first_day: dt.date
    last_day: dt.date
    quantile: float
    least_samples: int
    times: tuple[TimeLine, ...]
    days: tuple[DayErrorLine, ...]
    verdict: Literal["better", "worse", "no clear change", "too few days"]
    sentence: str
