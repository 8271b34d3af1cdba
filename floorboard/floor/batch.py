"""One batch: what its entries say it is."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from floorboard.floor.events import Serving


@dataclass(frozen=True, slots=True)
class Weighed:
    """One addition as it was weighed."""

    material: str
    target_grams: float
    grams: float
    lot: str | None


@dataclass(slots=True)
class Batch:
    """A bucketful of a mix. Written only by the fold."""

    serial: str
    mix: str
    person: str | None
    servings: tuple[Serving, ...]
    grams: float
    working_seconds: float
    cure_factor: float
    begun_at: dt.datetime
    wetted_at: dt.datetime | None = None
    stages_done: int = 0
    weighed: list[Weighed] = field(default_factory=list)
    served: set[tuple[str, int]] = field(default_factory=set)
    lost_at: dt.datetime | None = None
    last_at: dt.datetime | None = None

    @property
    def sets_at(self) -> dt.datetime | None:
        """When its working time is over, once it has been wetted."""
        if self.wetted_at is None:
            return None
        return self.wetted_at + dt.timedelta(seconds=self.working_seconds)

    @property
    def over(self) -> bool:
        """Whether all its layers are served, or it was lost."""
        return self.lost_at is not None or all(
            (serving.casting, serving.layer) in self.served for serving in self.servings
        )

    def to_serve(self) -> tuple[Serving, ...]:
        """Return the servings not yet applied, in order."""
        return tuple(s for s in self.servings if (s.casting, s.layer) not in self.served)
