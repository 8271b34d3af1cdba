"""A plan while it is being written: tasks and batches in grid steps."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import datetime as dt

    from floorboard.planning.plan import TaskKind
    from floorboard.shop.build import Build


@dataclass(slots=True)
class SheetTask:
    """A hands-on task; `begun_at` is set where it was begun on the floor."""

    kind: TaskKind
    person: str
    start: int
    end: int
    castings: list[str]
    index: int = 0
    batch: str | None = None
    begun_at: dt.datetime | None = None


@dataclass(slots=True)
class SheetBatch:
    """A batch; `servings` are (casting, layer, grams) in the order they are applied."""

    id: str
    mix: str
    person: str
    start: int
    ready: int
    end: int
    grams: float
    wet_seconds: float
    servings: list[tuple[str, int, float]]
    begun_at: dt.datetime | None = None
    wetted_at: dt.datetime | None = None


@dataclass(slots=True)
class SheetCasting:
    """A casting the plan carries on or begins. `demolded` is the step, or fact as `demolded_at`."""

    id: str
    mold: str
    build: Build
    new: bool
    order: str | None
    demolded: int | None = None
    demolded_at: dt.datetime | None = None
    next_step: int = 0
    finished: int | None = None


@dataclass(slots=True)
class Sheet:
    """All of it."""

    tasks: list[SheetTask] = field(default_factory=list)
    batches: list[SheetBatch] = field(default_factory=list)
    castings: dict[str, SheetCasting] = field(default_factory=dict)
