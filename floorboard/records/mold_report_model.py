"""The molds as one value: pulls, care, wear, what is left in them, and when to order new ones."""

from __future__ import annotations

import datetime as dt
from typing import Literal

from pydantic import AwareDatetime, BaseModel, ConfigDict


class MoldPart(BaseModel):
    """A frozen part of the report."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class WearNote(MoldPart):
    """Something written down about a mold."""

    at: AwareDatetime
    what: str
    note: str


class MoldLine(MoldPart):
    """One mold.

    `pulls` are those before the log and those logged. `retire_at` is the shop's own limit,
    `advised_pulls` the pull to retire it by as the log of molds like it says. `pulls_left` is to
    the nearer of the two, None where neither is known; `used_up_on` the local day at the recent
    rate, or on which open orders use them up if that is sooner; `order_by` the lead time before.
    """

    mold: str
    number: int | None
    piece: str
    name: str
    in_service: bool
    pulls: int
    pulls_since_care: int
    care_every: int | None
    care_due: bool
    rejects_for_wear: int
    retire_at: int | None
    method: Literal["weibull", "survival curve", "unknown"]
    expected_left: float | None
    advised_pulls: int | None
    pulls_left: int | None
    pulls_a_day: float
    used_up_on: dt.date | None
    order_by: dt.date | None
    sentence: str
    notes: tuple[WearNote, ...]


class DemandLine(MoldPart):
    """A piece: pulls left in its molds, where they are known, against what open orders miss."""

    piece: str
    name: str
    molds_in_service: int
    missing: int
    pulls_left: int | None
    short_before: dt.date | None
    sentence: str


class MoldReport(MoldPart):
    """All molds, by number, and the pieces that open orders ask for."""

    as_of: AwareDatetime
    molds: tuple[MoldLine, ...]
    demand: tuple[DemandLine, ...]
    sentences: tuple[str, ...]
