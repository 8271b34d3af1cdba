"""One row of the board: text and seconds, without any drawing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from floorboard.floor.standing import State


@dataclass(frozen=True, slots=True)
class Ribbon:
    """A mold's next hour as a strip: seconds from now to opening, to closing, to the planned start."""

    opens_in: float | None = None
    closes_in: float | None = None
    planned_in: float | None = None


@dataclass(frozen=True, slots=True)
class MoldRow:
    """One mold on the board.

    `layer` is how many layers are in, of `layers`. `countdown` is text; `waits_for` says in words
    what it counts to. `flagged` marks a casting with something odd in its log.
    """

    mold: str
    number: int
    piece: str
    casting: str
    state: State
    layer: int
    layers: int
    what: str
    countdown: str
    waits_for: str
    ribbon: Ribbon
    flagged: bool
    who: str
