"""What a person's panel says: text and seconds, without any drawing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from floorboard.usecases.presses import Press


DRAWING_UP = "The plan is being drawn up"


@dataclass(frozen=True, slots=True)
class TicketLine:
    """One weighing: its number, the material, what to add and what the scale then shows."""

    number: str
    name: str
    add: str
    reading: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class NextPanel:
    """One person's next thing to do.

    `starts_in` is seconds until the plan asks for it (negative: late); None while it is in hand,
    when `since` counts up instead. `runs_out_in` is what is left of a wet batch's working time.
    """

    person: str
    name: str
    title: str
    key: str
    press: Press | None
    starts_in: float | None = None
    since: float | None = None
    runs_out_in: float | None = None
    ticket: tuple[TicketLine, ...] = ()
    cautions: tuple[str, ...] = ()
    remark: str = ""
    after: str = ""
