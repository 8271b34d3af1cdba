"""One casting: what its entries say it is.

A casting's state is the fold of the entries that name it, in the order of the log. Nothing is
refused: an entry that does not fit is taken as fact where it can be and flagged where it is odd.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    import datetime as dt

    from floorboard.shop.build import Build

Rule = Literal[
    "partial cure",
    "recoat window",
    "working time",
    "full cure",
    "waiting time",
    "start by",
    "not dry",
    "twice",
    "out of order",
    "one casting a mold",
    "one task a person",
    "unknown",
]


@dataclass(frozen=True, slots=True)
class Flag:
    """Something odd about an entry that was taken all the same."""

    seq: int
    rule: Rule
    message: str
    amount_seconds: float = 0.0


@dataclass(slots=True)
class Coat:
    """A layer as it was applied."""

    begun_at: dt.datetime | None = None
    applied_at: dt.datetime | None = None
    batch: str | None = None
    person: str | None = None
    grams: float | None = None
    cure_factor: float = 1.0


@dataclass(slots=True)
class StepWork:
    """A step of the finishing route as it was worked; passive steps have no entries of their own."""

    begun_at: dt.datetime | None = None
    done_at: dt.datetime | None = None
    person: str | None = None


@dataclass(frozen=True, slots=True)
class Weighing:
    """A casting's weight at a moment."""

    at: dt.datetime
    grams: float


@dataclass(slots=True)
class Casting:
    """A casting and how far it has come. Written only by the fold."""

    serial: str
    mold: str
    piece_id: str
    build: Build
    begun_at: dt.datetime
    begun_by: str | None = None
    order: str | None = None
    readied_at: dt.datetime | None = None
    coats: list[Coat] = field(default_factory=list)
    demold_begun_at: dt.datetime | None = None
    demold_by: str | None = None
    demolded_at: dt.datetime | None = None
    steps: list[StepWork] = field(default_factory=list)
    rejected_at: dt.datetime | None = None
    reject_reason: str | None = None
    rework: int = 0
    set_aside: bool = False
    sent_back_at: dt.datetime | None = None
    weighings: list[Weighing] = field(default_factory=list)
    walls_mm: list[float] = field(default_factory=list)
    flags: list[Flag] = field(default_factory=list)

    @property
    def layers_applied(self) -> int:
        """How many layers are fully applied, counted from the first without a gap."""
        count = 0
        for coat in self.coats:
            if coat.applied_at is None:
                break
            count += 1
        return count

    @property
    def in_mold(self) -> bool:
        """Whether the casting still occupies its mold."""
        return self.demolded_at is None and self.rejected_at is None

    @property
    def next_step(self) -> int:
        """Index of the first hands-on step of the route not done; the route's length if none is left."""
        for index, step in enumerate(self.build.piece.route):
            if not step.passive and self.steps[index].done_at is None:
                return index
        return len(self.build.piece.route)

    @property
    def finished_at(self) -> dt.datetime | None:
        """When the last hands-on step was done, if all are."""
        if self.demolded_at is None or self.next_step < len(self.build.piece.route):
            return None
        done = [step.done_at for step in self.steps if step.done_at is not None]
        return max(done, default=self.demolded_at)

    @property
    def closed(self) -> bool:
        """Whether nothing more is to be done: rejected or finished."""
        return self.rejected_at is not None or self.finished_at is not None

    @classmethod
    def begin(
        cls,
        serial: str,
        mold: str,
        build: Build,
        at: dt.datetime,
        person: str | None = None,
        order: str | None = None,
    ) -> Casting:
        """Return a casting just begun."""
        return cls(
            serial=serial,
            mold=mold,
            piece_id=build.piece_id,
            build=build,
            begun_at=at,
            begun_by=person,
            order=order,
            coats=[Coat() for _ in build.piece.layers],
            steps=[StepWork() for _ in build.piece.route],
        )
