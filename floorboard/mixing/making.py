"""How far the making of a batch has come: what is in, what goes in next, which stage is stirred.

Pure: the ticket, what was put in, the stages done and any correction go in; what to do next
comes out. A material comes once in a mix, so it names its addition.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from floorboard.mixing.weighings import WeighingCheck, check_weighing

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Mapping, Sequence

    from floorboard.mixing.ticket import Ticket, TicketAddition, TicketStage
    from floorboard.shop.materials import Material

# Grams that no bench scale tells from nothing.
NOTHING = 1e-6


@dataclass(frozen=True, slots=True)
class PutIn:
    """So much of a material went into the bucket, where so much was wanted."""

    material: str
    target_grams: float
    grams: float
    at: dt.datetime
    lot: str | None = None


@dataclass(frozen=True, slots=True)
class AdditionState:
    """One addition of a ticket as it stands, in grams.

    `target_grams` is the ticket's, or what a correction made of it. `more_grams` is still to be
    weighed, 0 once `done`. `check` holds what is in against the target, None while nothing is.
    `stage` counts from 0.
    """

    addition: TicketAddition
    stage: int
    target_grams: float
    in_grams: float
    more_grams: float
    done: bool
    check: WeighingCheck | None
    lots: tuple[str, ...] = ()
    last_at: dt.datetime | None = None

    @property
    def off(self) -> bool:
        """Whether what is in is outside its tolerance, now that nothing more is to come."""
        return self.done and self.check is not None and not self.check.within


@dataclass(frozen=True, slots=True)
class Making:
    """A batch being made. `stages_done` counts the stages stirred, from the first."""

    ticket: Ticket
    additions: tuple[AdditionState, ...]
    stages_done: int
    stage_times: tuple[dt.datetime, ...]
    begun_at: dt.datetime

    @property
    def stage(self) -> TicketStage | None:
        """The stage in hand, None once all are done."""
        if self.stages_done >= len(self.ticket.stages):
            return None
        return self.ticket.stages[self.stages_done]

    @property
    def next_addition(self) -> AdditionState | None:
        """What to weigh now: the first not done up to the stage in hand, corrections included."""
        return next(
            (one for one in self.additions if not one.done and one.stage <= self.stages_done), None
        )

    @property
    def stirring_since(self) -> dt.datetime | None:
        """When the stage in hand began to be stirred: its last addition went in; else None."""
        if self.stage is None or self.next_addition is not None:
            return None
        times = [
            one.last_at
            for one in self.additions
            if one.stage <= self.stages_done and one.last_at is not None
        ]
        return max([*times, *self.stage_times], default=self.begun_at)

    @property
    def ready(self) -> bool:
        """Whether everything is in and stirred."""
        return self.stage is None and all(one.done for one in self.additions)

    @property
    def clock_runs(self) -> bool:
        """Whether the working time runs: all additions of the stage that starts it are in."""
        starts = next((s.number - 1 for s in self.ticket.stages if s.starts_clock), 0)
        if self.stages_done > starts:
            return True
        return self.stages_done == starts and self.stirring_since is not None

    @property
    def in_grams(self) -> float:
        """Everything in the bucket."""
        return sum(one.in_grams for one in self.additions)

    @property
    def reading_grams(self) -> float:
        """What the scale should show now."""
        return self.ticket.tare_grams + self.in_grams

    @property
    def comes_to_grams(self) -> float:
        """What the batch weighs once all is in."""
        return sum(one.in_grams + one.more_grams for one in self.additions)

    def by_place(self) -> dict[int, float]:
        """Grams in so far by the addition's place in its batch, as `correct` takes them."""
        return {one.addition.place: one.in_grams for one in self.additions if one.in_grams > 0}


def making_of(
    ticket: Ticket,
    materials: Mapping[str, Material],
    put_in: Sequence[PutIn],
    stages: Sequence[tuple[int, dt.datetime]],
    begun_at: dt.datetime,
    *,
    targets: Mapping[str, float] | None = None,
    tolerance_percent: float = 2.0,
) -> Making:
    """Work out how far a batch has come.

    Parameters
    ----------
    put_in, stages : what was logged, in order; a stage as (its number from 0, when it was done).
    targets : grams by material after a correction; the ticket's otherwise.
    tolerance_percent : the shop's; a material's own comes before it.
    """
    changed = targets or {}
    additions = tuple(
        _state(
            addition,
            stage.number - 1,
            changed.get(addition.material, addition.grams),
            [one for one in put_in if one.material == addition.material],
            _tolerance(materials, addition.material, tolerance_percent),
            ticket.batch.resolution_grams,
        )
        for stage in ticket.stages
        for addition in stage.additions
    )
    done = max((number + 1 for number, _ in stages), default=0)
    return Making(
        ticket=ticket,
        additions=additions,
        stages_done=min(done, len(ticket.stages)),
        stage_times=tuple(at for _, at in stages),
        begun_at=begun_at,
    )


def _tolerance(materials: Mapping[str, Material], material: str, shop_percent: float) -> float:
    known = materials.get(material)
    own = known.scale_tolerance if known is not None else None
    return shop_percent if own is None else float(own)


def _state(
    addition: TicketAddition,
    stage: int,
    target: float,
    mine: Sequence[PutIn],
    tolerance: float,
    resolution: float,
) -> AdditionState:
    there = sum(one.grams for one in mine)
    # A weight taken short and kept counts by what it was meant to be.
    meant = max(there, sum(one.target_grams for one in mine))
    done = meant >= target - resolution / 2 - NOTHING
    check = check_weighing(target, there, tolerance, resolution, addition.name) if mine else None
    return AdditionState(
        addition=addition,
        stage=stage,
        target_grams=target,
        in_grams=there,
        # A difference of two weights has no more digits than they had.
        more_grams=0.0 if done else max(0.0, round(target - there, 6)),
        done=done,
        check=check,
        lots=tuple(dict.fromkeys(one.lot for one in mine if one.lot is not None)),
        last_at=max((one.at for one in mine), default=None),
    )
