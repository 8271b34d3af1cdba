"""What a tally says, as one value: printed as JSON, laid out as text, a page or a sheet.

Counts are of castings unless a name says otherwise; shares run from 0 to 1 and are None where
there is nothing to divide by; times are minutes, moments are in UTC, money is in the shop's
currency.
"""

from __future__ import annotations

import datetime as dt
from typing import Literal

from pydantic import AwareDatetime, BaseModel, ConfigDict


class TallyPart(BaseModel):
    """A frozen part of a tally."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Counts(TallyPart):
    """Counts of a stretch of time.

    A casting is good when its whole route is done and it was not rejected; scrapped when it was
    rejected. `finished` counts last steps done, whatever came after. `sent_back` counts times, not
    castings. `sealed` and `packed` count castings whose last such step was done.
    `carried_in + begun + brought_back = good + scrapped + carried_over`, where `brought_back` had
    been good before and was sent back or rejected since.
    """

    begun: int = 0
    demolded: int = 0
    good: int = 0
    scrapped: int = 0
    finished: int = 0
    sealed: int = 0
    packed: int = 0
    sent_back: int = 0
    carried_in: int = 0
    brought_back: int = 0
    carried_over: int = 0


class PieceLine(TallyPart):
    """One piece; `wanted` is what orders due in this stretch ask for."""

    piece: str
    name: str
    wanted: int
    counts: Counts


class DayLine(TallyPart):
    """A local day of the stretch: begun, demolded, and what turned out good and scrapped that day."""

    day: dt.date
    begun: int
    demolded: int
    good: int
    scrapped: int


class PersonLine(TallyPart):
    """One person: what they did, hands used against hands there (worker efficiency, APWT/APAT).

    Hands there are shift less breaks and absence, and what was worked outside them.
    """

    person: str
    name: str
    begun: int
    layers: int
    demolded: int
    steps: int
    sealed: int
    packed: int
    used_minutes: float
    there_minutes: float
    outside_shift_minutes: float
    worker_efficiency: float | None


class ReasonLine(TallyPart):
    """A reason: castings rejected for it, and times castings were sent back for it."""

    reason: str
    name: str
    rejected: int
    sent_back: int


class RejectLine(TallyPart):
    """A casting rejected: when, why and where it stood."""

    casting: str
    piece: str
    mold: str
    at: AwareDatetime
    reason: str
    stage: str


class StageLine(TallyPart):
    """How many castings stand at a step at the end of the stretch."""

    stage: str
    castings: int


class CarriedLine(TallyPart):
    """A casting still in progress at the end: where it stands, when it opens and closes."""

    casting: str
    piece: str
    name: str
    mold: str
    mold_number: int | None
    in_mold: bool
    stage: str
    opens_at: AwareDatetime | None
    closes_at: AwareDatetime | None
    order: str | None


class MoldLine(TallyPart):
    """A mold's use in the shop's open hours.

    Allocation is the share of open hours it held a casting (AUBT/PBT), utilization the share of
    those that the build's own least time accounts for (APT/AUBT), availability their product.
    """

    mold: str
    number: int | None
    piece: str
    begun: int
    demolded: int
    held_minutes: float
    allocation_efficiency: float | None
    utilization_efficiency: float | None
    availability: float | None


class BatchLine(TallyPart):
    """Batches of one mix, in grams as their tickets had them; lost ones set or were thrown away."""

    mix: str
    name: str
    batches: int
    grams: float
    lost: int
    lost_grams: float
    unweighed: int


class MaterialLine(TallyPart):
    """One material, in grams.

    `ticket` is what the tickets asked for, `used` what was weighed (or, where nothing was logged
    as weighed, what the ticket said) and taken on steps, `theory` what the layers applied and
    steps done call for with no loss at all. `wasted` was spilt or spoiled, or set in a lost batch.
    """

    material: str
    name: str
    ticket_grams: float
    used_grams: float
    theory_grams: float
    wasted_grams: float
    cost: float | None

    @property
    def over_theory_grams(self) -> float:
        """What was used beyond theory: left in buckets, over-poured, lost."""
        return self.used_grams - self.theory_grams


class OrderLine(TallyPart):
    """An order at the end of the stretch; `filled_at` is when its last casting was finished."""

    order: str
    name: str
    piece: str
    quantity: int
    good: int
    due: AwareDatetime
    filled_at: AwareDatetime | None
    state: Literal["on time", "late", "overdue", "open"]


class YieldLine(TallyPart):
    """A yield with its 95 % Wilson interval."""

    name: str
    good: int
    total: int
    share: float | None
    low: float | None
    high: float | None


class KeyFigures(TallyPart):
    """ISO 22400-2 figures over the castings that came to a verdict: good, scrapped, sent back.

    produced (PQ), good (GQ), scrapped (SQ), sent to rework and not through it yet (RQ).
    """

    produced: int
    good: int
    scrapped: int
    reworked: int
    quality_ratio: float | None
    scrap_ratio: float | None
    rework_ratio: float | None
    first_pass_yield: float | None
    worker_efficiency: float | None
    allocation_efficiency: float | None
    utilization_efficiency: float | None
    availability: float | None
    throughput_per_hour: float | None


class CostLine(TallyPart):
    """Money for material used and hands-on time; `unpriced` names materials left out."""

    materials: float
    hands: float
    total: float
    per_good: float | None
    unpriced: tuple[str, ...]


class CheckLine(TallyPart):
    """A check of the counts: two ways of counting the same, and what explains a difference."""

    name: str
    holds: bool
    sentence: str


class Tally(TallyPart):
    """The counts of `[start, end)`, local days from `first_day` to `last_day` in the shop's zone."""

    title: str
    shop: str
    zone: str
    currency: str
    start: AwareDatetime
    end: AwareDatetime
    as_of: AwareDatetime
    first_day: dt.date
    last_day: dt.date
    order: str | None
    counts: Counts
    pieces: tuple[PieceLine, ...]
    days: tuple[DayLine, ...]
    people: tuple[PersonLine, ...]
    reasons: tuple[ReasonLine, ...]
    rejects: tuple[RejectLine, ...]
    stages: tuple[StageLine, ...]
    carried_over: tuple[CarriedLine, ...]
    molds: tuple[MoldLine, ...]
    batches: tuple[BatchLine, ...]
    materials: tuple[MaterialLine, ...]
    orders: tuple[OrderLine, ...]
    orders_due: int
    orders_on_time: int
    yields: tuple[YieldLine, ...]
    key_figures: KeyFigures
    cost: CostLine | None
    checks: tuple[CheckLine, ...]
    notes: tuple[str, ...]

    @property
    def reconciled(self) -> bool:
        """Whether every check holds."""
        return all(check.holds for check in self.checks)
