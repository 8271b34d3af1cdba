"""Rows of the past, as the store reads them for the records: plain, frozen, times in UTC.

Struck entries count for nothing here; what they had added is not in these rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, NamedTuple

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterable, Sequence


@dataclass(frozen=True, slots=True)
class CastingRow:
    """A casting as it stands now: its moments, and where it was rejected.

    No moment is before `begun_at`: one logged so is taken as that.
    `finished_at` is None while a step of the route is to be done, or to be done again.
    `reject_layer` and `reject_step` count from 0; both are None for one rejected between them.
    `sent_back_at` is the last of `rework` times it was sent back.
    """

    serial: str
    mold: str
    piece: str
    order: str | None
    build: str
    begun_at: dt.datetime
    begun_by: str | None = None
    demolded_at: dt.datetime | None = None
    demolded_by: str | None = None
    finished_at: dt.datetime | None = None
    rejected_at: dt.datetime | None = None
    reason: str | None = None
    reject_layer: int | None = None
    reject_step: int | None = None
    rework: int = 0
    sent_back_at: dt.datetime | None = None
    flags: int = 0


class FinishedRow(NamedTuple):
    """A good casting that may count for an order: its own, or one it fits."""

    serial: str
    piece: str
    order: str | None
    begun_at: dt.datetime
    finished_at: dt.datetime


class WorkRow(NamedTuple):
    """A hands-on task that was ended.

    `kind` is ready, batch, layer, demold or step; `number` the layer or step counted from 0, for a
    batch how many layers it serves. A session that took several castings has a row for each, all
    with its `shared_by`. `begun_at` is None where only the end was logged.
    """

    kind: str
    casting: str | None
    number: int
    step_kind: str | None
    piece: str | None
    mold: str | None
    person: str | None
    begun_at: dt.datetime | None
    ended_at: dt.datetime
    shared_by: int = 1
    mix: str | None = None


@dataclass(frozen=True, slots=True)
class ReworkRow:
    """A casting sent back to a step (from 0) of its route, or an attempt to that did not fit."""

    seq: int
    at: dt.datetime
    casting: str
    step: int
    reason: str
    person: str | None = None


@dataclass(frozen=True, slots=True)
class BatchSum:
    """Batches of one mix, in grams as their tickets had them.

    `lost` counts those that set in the bucket or were thrown away, `unweighed` those of which no
    addition was logged as weighed.
    """

    mix: str
    batches: int
    grams: float
    lost: int = 0
    lost_grams: float = 0.0
    unweighed: int = 0


@dataclass(frozen=True, slots=True)
class WeighedSum:
    """Grams, by their tickets, of the batches of a mix into which a material was weighed."""

    mix: str
    material: str
    grams: float


@dataclass(frozen=True, slots=True)
class MaterialSum:
    """One material: grams asked for and weighed into batches, used on steps, and wasted.

    `lot_price` is money a gram of the lots weighed from, None where none had a price.
    """

    material: str
    target_grams: float = 0.0
    weighed_grams: float = 0.0
    step_grams: float = 0.0
    wasted_grams: float = 0.0
    lot_price: float | None = None


@dataclass(frozen=True, slots=True)
class LayerSum:
    """How many layers of this number (from 0) were applied to castings of a build."""

    build: str
    layer: int
    count: int


@dataclass(frozen=True, slots=True)
class Presence:
    """A person left, or was back."""

    person: str
    at: dt.datetime
    left: bool


@dataclass(frozen=True, slots=True)
class FlagRow:
    """Something odd about an entry that was taken all the same."""

    seq: int
    at: dt.datetime
    casting: str | None
    rule: str
    message: str
    seconds: float = 0.0


@dataclass(frozen=True, slots=True)
class LogCount:
    """Entries of a kind that count in the log, those of them taken for nothing, and the castings
    whose own moments say the same."""

    kind: str
    entries: int
    not_taken: int
    castings: int


@dataclass(frozen=True, slots=True)
class CoatRow:
    """One layer as it was applied: by whom, from which batch, how many grams."""

    person: str | None
    batch: str | None
    grams: float | None


@dataclass(frozen=True, slots=True)
class MadeRow:
    """A casting and how its layers were made."""

    casting: CastingRow
    coats: tuple[CoatRow, ...]


@dataclass(frozen=True, slots=True)
class ReadingRow:
    """A casting's weight in grams (`kind` weight), or its wall in mm (`kind` wall) at a point."""

    kind: str
    casting: str
    piece: str
    mold: str
    value: float
    point: str
    at: dt.datetime


@dataclass(frozen=True, slots=True)
class InspectionRow:
    """A casting looked over: passed, or what was seen and in which layer (from 0)."""

    seq: int
    at: dt.datetime
    casting: str
    passed: bool
    defects: tuple[str, ...]
    layer: int | None
    person: str | None


@dataclass(frozen=True, slots=True)
class AirRow:
    """Temperature of the room as it was read."""

    at: dt.datetime
    room_celsius: float


@dataclass(frozen=True, slots=True)
class MoldEventRow:
    """Something written down about a mold: taken out, put back, cared for, or a note.

    `cause` is why it was taken out, "worn out" or "other", None where the log does not say.
    """

    seq: int
    at: dt.datetime
    mold: str
    kind: str
    note: str
    cause: str | None = None


ColumnKind = Literal["text", "integer", "real", "moment", "day"]


@dataclass(frozen=True, slots=True)
class PlainTable:
    """A table for other programs: its columns with their kinds, and its rows, read once.

    Moments and days are ISO 8601 text in the rows; moments are in UTC.
    """

    name: str
    columns: tuple[tuple[str, ColumnKind], ...]
    rows: Iterable[Sequence[object]]
