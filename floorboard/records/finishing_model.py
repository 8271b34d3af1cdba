"""The finishing queue as one value; weights in grams, moments in UTC, temperatures in C."""

from __future__ import annotations

from typing import Literal

from pydantic import AwareDatetime, BaseModel, ConfigDict

FinishingState = Literal[
    "in hand",
    "window lost",
    "closing",
    "ready",
    "wait",
    "to weigh",
    "drying",
    "curing",
    "set aside",
]


class FinishingPart(BaseModel):
    """A frozen part of the queue."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class DryLine(FinishingPart):
    """What the weighings of a drying casting say: dry, not dry, or None when they cannot tell.

    The estimates are of the moment at which it will have reached constant weight.
    """

    dry: bool | None
    weighings: int
    left_out: int
    likely_at: AwareDatetime | None
    earliest_at: AwareDatetime | None
    latest_at: AwareDatetime | None
    weigh_again_at: AwareDatetime | None
    sentence: str


class FinishingLine(FinishingPart):
    """A casting out of its mold: its next hands-on step and whether that may begin."""

    casting: str
    piece: str
    name: str
    order: str | None
    state: FinishingState
    step: int
    kind: str
    step_name: str
    since: AwareDatetime
    opens_at: AwareDatetime
    closes_at: AwareDatetime | None
    station: str | None
    drying: DryLine | None
    sentence: str


class SessionLine(FinishingPart):
    """Castings whose next step can be done in one session now."""

    step: int
    kind: str
    step_name: str
    castings: tuple[str, ...]
    minutes: float
    station: str | None
    cautions: tuple[str, ...]


class CoatingLine(FinishingPart):
    """Whether the air allows washes and sealers; `wait` is None when it cannot be told."""

    read_at: AwareDatetime | None
    air_celsius: float | None
    humidity_percent: float | None
    surface_celsius: float | None
    dew_point_celsius: float | None
    margin_celsius: float | None
    wait: bool | None
    sentence: str


class RackLine(FinishingPart):
    """A station and how many of its places drying and curing castings hold."""

    station: str
    name: str
    places: int
    held: int


class FinishingQueue(FinishingPart):
    """All castings out of their molds with steps to do, the most urgent first."""

    as_of: AwareDatetime
    coating: CoatingLine
    castings: tuple[FinishingLine, ...]
    sessions: tuple[SessionLine, ...]
    racks: tuple[RackLine, ...]
