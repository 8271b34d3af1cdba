"""How a place is chosen among those that fit."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from floorboard.planning.steps import lowest

if TYPE_CHECKING:
    import random


@dataclass(frozen=True, slots=True)
class Taste:
    """How a place is chosen among those that fit.

    Parameters
    ----------
    patience
        Steps a task may be later to ride on a batch instead of having its own set-up.
    delay, share, rng
        A share of the tasks is put up to `delay` steps later than need be, drawn by `rng`: a
        gap now may be a shared batch later. Without `rng` every task is as early as it can be.
    """

    patience: int = 10
    delay: int = 0
    share: float = 0.0
    rng: random.Random | None = None

    def later(self, steps: int) -> int:
        """Return the first step of a set, or now and then one a little later."""
        ready = lowest(steps)
        if self.rng is not None and self.rng.random() < self.share:
            at = ready + self.rng.randint(1, self.delay)
            if steps >> at:
                return at + lowest(steps >> at)
        return ready
