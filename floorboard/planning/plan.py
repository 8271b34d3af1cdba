"""A plan: who does what when. Data that the independent checker can verify.

All moments are aware UTC; intervals are half-open `[start, end)`. A plan never speaks of the past
beyond the work in hand, which it carries as `fixed`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import AwareDatetime, BaseModel, ConfigDict, Field

if TYPE_CHECKING:
    import datetime as dt

TaskKind = Literal["ready", "batch", "layer", "demold", "step"]


class PlanValue(BaseModel):
    """A frozen value of a plan."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class PlannedServing(PlanValue):
    """One layer that a planned batch serves."""

    casting: str = Field(description="serial number, or the placeholder of a casting not yet begun")
    layer: Annotated[int, Field(ge=0)]
    grams: float


class PlannedBatch(PlanValue):
    """A batch: weighing from `start`, working time from `wet`, fit to apply at `ready`.

    `end` is the end of its last application. A batch already begun on the floor keeps its
    serial number as `id`, and carries only the servings still to come.
    """

    id: str
    mix: str
    person: str
    start: AwareDatetime
    wet: AwareDatetime
    ready: AwareDatetime
    end: AwareDatetime
    grams: float = Field(description="to be mixed, allowance for loss included")
    servings: tuple[PlannedServing, ...]
    fixed: bool = False


class PlannedTask(PlanValue):
    """One hands-on task of one person.

    A batch is a task from the start of weighing until it is ready to apply; the layers it serves
    follow it at once, each a task of its own.

    `castings` has one serial (or placeholder), or several for a finishing session done together;
    for a batch, those it serves. `index` is the layer or the step of the route, from 0.
    """

    kind: TaskKind
    person: str
    start: AwareDatetime
    end: AwareDatetime
    castings: tuple[str, ...]
    index: Annotated[int, Field(ge=0)] = 0
    batch: str | None = None
    station: str | None = None
    fixed: bool = Field(default=False, description="in hand: begun and not ended")


class PlannedCure(PlanValue):
    """Passive time of one casting: partial cure, full cure, drying or the cure of a coat."""

    casting: str
    kind: Literal["partial cure", "full cure", "drying", "cure"]
    index: Annotated[int, Field(ge=0)] = Field(description="the layer or step it follows or is")
    start: AwareDatetime
    end: AwareDatetime
    station: str | None = None


class PlannedCasting(PlanValue):
    """A casting the plan carries on or begins."""

    id: str = Field(
        description="serial number, or a placeholder such as 'new-3-1' if not yet begun"
    )
    mold: str
    piece: str
    new: bool
    demolded_at: AwareDatetime | None
    finished_at: AwareDatetime | None
    order: str | None = None


class LostWindow(PlanValue):
    """A casting in a mold that no plan can save."""

    casting: str
    layer: Annotated[int, Field(ge=0)]
    closes_at: AwareDatetime
    by_seconds: float = Field(description="how late the earliest possible start would be")
    reason: str
    would_have_saved: str


class OrderOutlook(PlanValue):
    """What the plan means for one order."""

    order: str
    piece: str
    wanted: int
    done: int = Field(description="finished when the plan was made")
    planned: int = Field(description="finished within the plan, those done included")
    due: AwareDatetime
    ready_at: AwareDatetime | None = Field(description="when the last wanted one is finished")
    late_seconds: float = 0.0


class Plan(PlanValue):
    """Who does what from `made_at` until `until`."""

    made_at: AwareDatetime
    until: AwareDatetime
    seq: Annotated[int, Field(ge=0)] = Field(description="last log entry the plan knew")
    tasks: tuple[PlannedTask, ...] = Field(description="by start")
    batches: tuple[PlannedBatch, ...] = ()
    cures: tuple[PlannedCure, ...] = ()
    castings: tuple[PlannedCasting, ...] = ()
    lost: tuple[LostWindow, ...] = ()
    orders: tuple[OrderOutlook, ...] = ()
    notes: tuple[str, ...] = Field(
        default=(), description="sentences: what could not be planned, and why"
    )
    engine: str = "insertion"
    status: Literal["feasible", "optimal", "none"] = "feasible"
    objective: tuple[float, ...] = ()
    bound: float | None = None
    gap: float | None = None
    seed: int = 0
    runtime_seconds: float = 0.0
    moved_next_hour: int | None = Field(
        default=None, description="tasks of the next hour that differ from the plan before"
    )

    def for_person(self, person: str) -> tuple[PlannedTask, ...]:
        """Return one person's tasks, by start."""
        return tuple(task for task in self.tasks if task.person == person)

    def batch(self, batch_id: str) -> PlannedBatch | None:
        """Return a batch of the plan."""
        return next((batch for batch in self.batches if batch.id == batch_id), None)


def empty_plan(made_at: dt.datetime, until: dt.datetime, seq: int) -> Plan:
    """Return a plan that asks nothing of anyone."""
    return Plan(made_at=made_at, until=until, seq=seq, tasks=(), status="none", engine="none")
