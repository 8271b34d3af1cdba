"""What can happen on the floor, in the past tense.

An event is a fact: frozen, complete, and free of logic. An `Entry` is an event in the log, with
its place in the order (`seq`), when it happened (`at`), when it was written down (`logged_at`),
who did it and at which station it was keyed. Both times are aware and in UTC.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints, TypeAdapter

from floorboard.floor.event_fields import (
    Celsius,
    Day,
    Grams,
    Index,
    Lot,
    LotNamed,
    Millimetres,
    Moment,
    Seconds,
    Serial,
    Source,
    Station,
    WallPoint,
)
from floorboard.shop.base import Id, Note


class Event(BaseModel):
    """A fact of the floor."""

    # Built when first used: the floor is painted before the log is read.
    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)
    version: Literal[1] = 1

    def touched_castings(self) -> tuple[str, ...]:
        """Return the serial numbers of the castings this is about."""
        return ()

    def touched_batch(self) -> str | None:
        """Return the batch this is about."""
        return None

    def touched_mold(self) -> str | None:
        """Return the mold this is about."""
        return None


class CastingEvent(Event):
    """A fact about one casting."""

    casting: Serial

    def touched_castings(self) -> tuple[str, ...]:
        return (self.casting,)


class BatchEvent(Event):
    """A fact about one batch."""

    batch: Serial

    def touched_batch(self) -> str | None:
        return self.batch


class MoldEvent(Event):
    """A fact about one mold."""

    mold: Id

    def touched_mold(self) -> str | None:
        return self.mold


class CastingBegun(CastingEvent):
    """A mold was taken for a casting and its readying began."""

    kind: Literal["casting begun"] = "casting begun"
    mold: Id
    piece: Id
    build: str
    order: Id | None = None

    def touched_mold(self) -> str | None:
        return self.mold


class MoldReadied(CastingEvent):
    """The mold is clean, released and ready for the first layer."""

    kind: Literal["mold readied"] = "mold readied"


class Serving(BaseModel):
    """One layer that a batch serves."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    casting: Serial
    layer: Index
    grams: Grams


class BatchBegun(BatchEvent):
    """Weighing of a batch began. The times are those in force that day, at that temperature.

    `percents` are the additives' percentages where the ticket had others than the mix;
    `tare_grams` is what the scale showed before the first addition.
    """

    kind: Literal["batch begun"] = "batch begun"
    mix: Id
    servings: tuple[Serving, ...]
    grams: Grams = 0.0
    working_seconds: Seconds
    cure_factor: Annotated[float, Field(gt=0, le=50)] = 1.0
    percents: dict[Id, Annotated[float, Field(ge=0, le=10_000, allow_inf_nan=False)]] = {}
    tare_grams: Grams = 0.0

    def touched_castings(self) -> tuple[str, ...]:
        return tuple(serving.casting for serving in self.servings)


class MaterialWeighed(BatchEvent):
    """One addition to a batch was weighed, or what one lot gave of it.

    `source` says how the weight was come by: confirmed as on the ticket, typed, or read off the
    scale.
    """

    kind: Literal["material weighed"] = "material weighed"
    material: Id
    target_grams: Grams
    grams: Grams
    lot: Lot | None = None
    source: Literal["ticket", "typed", "scale"] = "ticket"


class MaterialTarget(BaseModel):
    """What one material of a batch is to come to."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    material: Id
    grams: Grams


class BatchCorrected(BatchEvent):
    """Over-poured weights were put right: what the batch and each addition now come to.

    `working_seconds` is the working time at what is now in the bucket, None if it is as it was.
    """

    kind: Literal["batch corrected"] = "batch corrected"
    grams: Grams
    targets: tuple[MaterialTarget, ...]
    working_seconds: Seconds | None = None


class BatchWetted(BatchEvent):
    """The batch was wetted, or accelerated: its working time runs from here."""

    kind: Literal["batch wetted"] = "batch wetted"


class BatchStaged(BatchEvent):
    """A stage of mixing was done."""

    kind: Literal["batch staged"] = "batch staged"
    stage: Index


class BatchLost(BatchEvent):
    """The batch set in the bucket or was thrown away before all its layers were served."""

    kind: Literal["batch lost"] = "batch lost"
    reason: Note = ""


class LayerBegun(CastingEvent):
    """Application of a layer began."""

    kind: Literal["layer begun"] = "layer begun"
    layer: Index
    batch: Serial | None = None

    def touched_batch(self) -> str | None:
        return self.batch


class LayerApplied(CastingEvent):
    """Application of a layer ended; its cure runs from here."""

    kind: Literal["layer applied"] = "layer applied"
    layer: Index
    batch: Serial | None = None
    grams: Grams | None = None

    def touched_batch(self) -> str | None:
        return self.batch


class DemoldBegun(CastingEvent):
    """Demolding began."""

    kind: Literal["demold begun"] = "demold begun"


class Demolded(CastingEvent):
    """The casting left its mold, which is free again."""

    kind: Literal["demolded"] = "demolded"


class StepsEvent(Event):
    """A fact about one step of the finishing route, for one casting or several together."""

    castings: Annotated[tuple[Serial, ...], Field(min_length=1, max_length=1000)]
    step: Index

    def touched_castings(self) -> tuple[str, ...]:
        return self.castings


class StepBegun(StepsEvent):
    """Hands-on work on a finishing step began."""

    kind: Literal["step begun"] = "step begun"


class StepDone(StepsEvent):
    """A finishing step was done; `lots` names the lot of each material it used."""

    kind: Literal["step done"] = "step done"
    lots: dict[Id, Lot] = {}


class CastingRejected(CastingEvent):
    """The casting was scrapped."""

    kind: Literal["casting rejected"] = "casting rejected"
    reason: Id
    layer: Index | None = None
    note: Note = ""


class CastingSentBack(CastingEvent):
    """The casting was sent back to an earlier step of its finishing route."""

    kind: Literal["casting sent back"] = "casting sent back"
    step: Index
    reason: Id
    note: Note = ""


class CastingSetAside(CastingEvent):
    """Work on the casting was paused; its cures run on."""

    kind: Literal["casting set aside"] = "casting set aside"


class CastingTakenUp(CastingEvent):
    """Work on a casting set aside goes on."""

    kind: Literal["casting taken up"] = "casting taken up"


class CastingInspected(CastingEvent):
    """The casting was looked over and passed, or a defect was seen."""

    kind: Literal["casting inspected"] = "casting inspected"
    passed: bool
    defects: tuple[Id, ...] = ()
    layer: Index | None = None
    note: Note = ""


class CastingWeighed(CastingEvent):
    """The casting was weighed."""

    kind: Literal["casting weighed"] = "casting weighed"
    grams: Grams


class WallRead(CastingEvent):
    """A wall thickness was read with the caliper at a named point."""

    kind: Literal["wall read"] = "wall read"
    point: WallPoint = ""
    millimetres: Millimetres


class Noted(Event):
    """Someone wrote something down."""

    kind: Literal["noted"] = "noted"
    note: Note
    casting: Serial | None = None
    mold: Id | None = None

    def touched_castings(self) -> tuple[str, ...]:
        return (self.casting,) if self.casting else ()

    def touched_mold(self) -> str | None:
        return self.mold


class MoldTakenOut(MoldEvent):
    """The mold was taken out of service: worn out, or for another reason.

    `cause` is None where nobody was asked, as in entries of version 1.
    """

    version: Literal[2] = 2  # type: ignore[assignment]
    kind: Literal["mold taken out"] = "mold taken out"
    note: Note = ""
    cause: Literal["worn out", "other"] | None = None


class MoldPutBack(MoldEvent):
    """The mold was put back in service."""

    kind: Literal["mold put back"] = "mold put back"


class MoldCaredFor(MoldEvent):
    """The mold had its care: washed, dried, coated, mended."""

    kind: Literal["mold cared for"] = "mold cared for"
    note: Note = ""


class MoldRested(MoldEvent):
    """Nothing new is to be begun in the mold until the given moment."""

    kind: Literal["mold rested"] = "mold rested"
    until: Moment


class PersonLeft(Event):
    """A person is away, until they come back."""

    kind: Literal["person left"] = "person left"
    who: Id


class PersonBack(Event):
    """A person is there again."""

    kind: Literal["person back"] = "person back"
    who: Id


class ConditionsRead(Event):
    """Temperatures and humidity of the day were read."""

    kind: Literal["conditions read"] = "conditions read"
    room_celsius: Celsius | None = None
    water_celsius: Celsius | None = None
    surface_celsius: Celsius | None = None
    humidity_percent: Annotated[float, Field(ge=0, le=100, allow_inf_nan=False)] | None = None


class LotReceived(Event):
    """A lot of a material came in."""

    kind: Literal["lot received"] = "lot received"
    material: Id
    lot: Lot
    grams: Grams
    expires: Day | None = None
    cost: Annotated[float, Field(ge=0, le=1e9, allow_inf_nan=False)] | None = None


class LotOpened(Event):
    """A lot was opened."""

    kind: Literal["lot opened"] = "lot opened"
    material: Id
    lot: Lot


class StockWasted(Event):
    """Material was spilt, spoiled or thrown away."""

    kind: Literal["stock wasted"] = "stock wasted"
    material: Id
    lot: LotNamed | None = None
    grams: Grams
    note: Note = ""


class StockCounted(Event):
    """What is on hand of a lot was counted."""

    kind: Literal["stock counted"] = "stock counted"
    material: Id
    lot: Lot
    grams: Grams


class LotTaking(BaseModel):
    """So much of a material, from a lot."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    material: Id
    grams: Grams
    lot: Lot | None = None


class SolutionMade(Event):
    """A stock solution was made up in the shop: a new lot, and what went into it."""

    kind: Literal["solution made"] = "solution made"
    material: Id
    lot: Lot
    grams: Grams
    takings: tuple[LotTaking, ...]
    expires: Day | None = None


class TimesDecided(Event):
    """It was decided which time of a task the planner uses: learned from the log, or the shop's own.

    `task` names it as the records do, such as "layer owl 2".
    """

    kind: Literal["times decided"] = "times decided"
    task: Annotated[str, StringConstraints(min_length=1, max_length=120)]
    use: Literal["learned", "stated"]


class ShopLoaded(Event):
    """The shop's definitions were replaced."""

    kind: Literal["shop loaded"] = "shop loaded"
    digest: str
    source: Source = ""


class EntryStruck(Event):
    """An earlier entry was struck: it stays readable and counts for nothing."""

    kind: Literal["entry struck"] = "entry struck"
    struck: Annotated[int, Field(ge=1)]
    reason: Note = ""


AnyEvent = Annotated[
    CastingBegun
    | MoldReadied
    | BatchBegun
    | MaterialWeighed
    | BatchCorrected
    | BatchWetted
    | BatchStaged
    | BatchLost
    | LayerBegun
    | LayerApplied
    | DemoldBegun
    | Demolded
    | StepBegun
    | StepDone
    | CastingRejected
    | CastingSentBack
    | CastingSetAside
    | CastingTakenUp
    | CastingInspected
    | CastingWeighed
    | WallRead
    | Noted
    | MoldTakenOut
    | MoldPutBack
    | MoldCaredFor
    | MoldRested
    | PersonLeft
    | PersonBack
    | ConditionsRead
    | LotReceived
    | LotOpened
    | StockWasted
    | StockCounted
    | SolutionMade
    | TimesDecided
    | ShopLoaded
    | EntryStruck,
    Field(discriminator="kind"),
]

EVENT: TypeAdapter[AnyEvent] = TypeAdapter(AnyEvent, config=ConfigDict(defer_build=True))


class Entry(BaseModel):
    """One line of the log."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    seq: Annotated[int, Field(ge=1)]
    id: Annotated[str, StringConstraints(min_length=1, max_length=64)]
    at: Moment
    logged_at: Moment
    person: Id | None = None
    station: Station = ""
    event: AnyEvent
    struck_by: int | None = None
