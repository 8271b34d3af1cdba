"""The rows that one entry adds to the tables kept beside the log.

Field names and their order are the columns'. Each row is keyed by the entry's number, so that
what an entry added can be taken away and worked out again.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    import datetime as dt

    from floorboard.floor.casting import Flag

WorkKind = Literal["ready", "batch", "layer", "demold", "step"]
StockKind = Literal[
    "received", "opened", "weighed", "step", "wasted", "counted", "made up", "into lot"
]


@dataclass(frozen=True, slots=True)
class Work:
    """A hands-on task that was ended.

    `number` is the layer or step, counted from 0. `shared_by` is how many castings one session
    took, each of which has a row. `begun_at` is None if only the end was logged.
    """

    kind: WorkKind
    casting: str | None
    number: int
    step_kind: str | None
    piece: str | None
    mold: str | None
    mix: str | None
    batch: str | None
    person: str | None
    station: str
    begun_at: dt.datetime | None
    ended_at: dt.datetime
    shared_by: int = 1


@dataclass(frozen=True, slots=True)
class BatchWeighing:
    """One addition to a batch as it was weighed, in grams; `lot` is "" where none was named."""

    batch: str
    mix: str | None
    material: str
    lot: str
    target_grams: float
    grams: float
    at: dt.datetime
    person: str | None


@dataclass(frozen=True, slots=True)
class StockMove:
    """What an entry did to a lot: grams in, or out if negative.

    A count moves a lot by what was found more, or less, than the log had of it. A solution made
    up comes in as "made up", and what it was made of goes out "into lot" by the same entry.
    """

    material: str
    lot: str
    grams: float
    kind: StockKind
    at: dt.datetime
    batch: str | None = None
    casting: str | None = None
    expires: dt.date | None = None
    cost: float | None = None


@dataclass(frozen=True, slots=True)
class Reading:
    """A casting's weight in grams, or its wall in millimetres at a named point."""

    kind: Literal["weight", "wall"]
    casting: str
    piece: str
    mold: str
    value: float
    point: str
    at: dt.datetime
    person: str | None


@dataclass(slots=True)
class EntryRows:
    """All that one entry added. `flags` pairs each with its casting, None for the floor's own."""

    works: list[Work] = field(default_factory=list)
    weighing: BatchWeighing | None = None
    stock: list[StockMove] = field(default_factory=list)
    reading: Reading | None = None
    flags: list[tuple[str | None, Flag]] = field(default_factory=list)
