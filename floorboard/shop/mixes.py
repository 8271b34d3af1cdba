"""Mixes: parts, additives each with its base, working time and how a batch is made."""

from __future__ import annotations

from typing import Annotated, Any, Literal, Self

from pydantic import Discriminator, Field, Tag, model_validator

from floorboard.shop.base import Definition, Id, Name, Note
from floorboard.shop.quantities import Density, Duration, Mass, Percent, Temperature

Caution = Literal["dust", "fibre", "skin", "heat", "vapour", "lifting"]

ALL_PARTS = "all parts"
ALL_POWDERS = "all powders"
ALL_LIQUIDS = "all liquids"
EVERYTHING = "everything before it"
COLLECTIVE_BASES = (ALL_PARTS, ALL_POWDERS, ALL_LIQUIDS, EVERYTHING)


class Part(Definition):
    """One of a mix's parts."""

    material: Id
    parts: Annotated[float, Field(gt=0, le=10_000, allow_inf_nan=False)]


class Additive(Definition):
    """A percentage of a named base."""

    material: Id
    percent: Percent
    of: Annotated[str, Field(max_length=40)] = Field(
        description="its base: a material of the mix, 'all parts', 'all powders', "
        "'all liquids' or 'everything before it'"
    )
    least: Percent | None = Field(default=None, description="the supplier's range, low end")
    most: Percent | None = Field(default=None, description="the supplier's range, high end")
    counted_as: Literal["weighed", "active"] = Field(
        default="weighed",
        description="for a stock solution: whether the percentage is of solution or of active material",
    )

    @model_validator(mode="after")
    def _range_holds(self) -> Self:
        if self.least is not None and self.most is not None and self.least > self.most:
            raise ValueError(f"found least {self.least.text} above most {self.most.text}")
        return self


class Stage(Definition):
    """One stage of making a batch: what goes in, then how long it is stirred."""

    add: tuple[Id, ...]
    stir: Duration
    stir_at_most: Duration | None = Field(
        default=None, description="longer stirring harms the mix, as with fibre"
    )
    sift: bool = Field(default=False, description="sifted or sprinkled in rather than tipped")
    starts_clock: bool = Field(default=False, description="the working time runs from here")
    note: Note | None = None


class TablePoint(Definition):
    """A point of the shop's own table: at this percentage, these times."""

    percent: Percent
    working_time: Duration
    cure: Duration | None = Field(default=None, description="partial cure at this percentage")


class WorkingTimeTable(Definition):
    """The shop's own table of an additive against working time and cure."""

    additive: Id
    points: Annotated[tuple[TablePoint, ...], Field(min_length=2, max_length=50)]

    @model_validator(mode="after")
    def _ascending(self) -> Self:
        percents = [float(point.percent) for point in self.points]
        if percents != sorted(set(percents)):
            raise ValueError(
                f"found percentages {percents}, expected them to rise from point to point"
            )
        times = [float(point.working_time) for point in self.points]
        if times != sorted(times) and times != sorted(times, reverse=True):
            raise ValueError(
                f"found working times {times} s, expected them to rise or fall throughout"
            )
        return self


class TemperaturePoint(Definition):
    """At this temperature every time of the mix is multiplied by this factor."""

    at: Temperature
    factor: Annotated[float, Field(gt=0, le=20)]


class Maturity(Definition):
    """Constants of an equivalent-age clock (form of ASTM C1074), where a shop has them."""

    q_kelvin: Annotated[float, Field(gt=0, le=20_000)]
    reference: Temperature


class Loss(Definition):
    """What stays in the bucket: a fixed amount a batch and a share of it."""

    each: Mass = Mass(0)
    share: Percent = Percent(0)

    @model_validator(mode="after")
    def _leaves_something(self) -> Self:
        if self.share >= 100:
            raise ValueError(f"found a share of {self.share.text}, expected less than all of it")
        return self


def _time_or_table(value: Any) -> str:
    return "table" if isinstance(value, WorkingTimeTable | dict) else "time"


class Mix(Definition):
    """A recipe for a setting material mixed by hand."""

    name: Name
    by: Literal["weight", "volume"] = "weight"
    parts: Annotated[tuple[Part, ...], Field(min_length=1, max_length=30)]
    additives: Annotated[tuple[Additive, ...], Field(max_length=30)] = ()
    set_density: Density | None = Field(default=None, description="of the cured layer")
    weigh: Duration = Field(description="hands-on time before anything is wetted")
    stages: Annotated[tuple[Stage, ...], Field(max_length=20)] = ()
    mix: Duration | None = Field(
        default=None, description="mixing time from wetting to ready, where no stages are given"
    )
    working_time: Annotated[
        Annotated[Duration, Tag("time")] | Annotated[WorkingTimeTable, Tag("table")],
        Discriminator(_time_or_table),
    ]
    temperature: tuple[TemperaturePoint, ...] = Field(default=(), max_length=30)
    maturity: Maturity | None = None
    largest_batch: Mass
    loss: Loss = Loss()
    station: Id | None = Field(default=None, description="a mixer, where one is needed")
    cautions: tuple[Caution, ...] = ("dust", "skin", "heat")

    @model_validator(mode="after")
    def _made_somehow(self) -> Self:
        if not self.stages and self.mix is None:
            raise ValueError(
                "found neither 'stages' nor 'mix', expected how long the batch is mixed"
            )
        if self.stages and self.mix is not None:
            raise ValueError("found both 'stages' and 'mix', expected one of them")
        if self.largest_batch <= 0:
            raise ValueError("found a largest_batch of nothing, expected what the bucket holds")
        return self

    @property
    def wet_stages(self) -> tuple[Stage, ...]:
        """The stages from the one whose addition starts the working time; all of them by default."""
        for index, stage in enumerate(self.stages):
            if stage.starts_clock:
                return self.stages[index:]
        return self.stages

    @property
    def seconds_before_wet(self) -> float:
        """Hands-on seconds from the start of weighing until the working time starts to run."""
        wet = len(self.wet_stages)
        dry = self.stages[: len(self.stages) - wet]
        return float(self.weigh) + sum(float(stage.stir) for stage in dry)

    @property
    def seconds_wet_to_ready(self) -> float:
        """Seconds from the start of the working time until the batch can be applied."""
        if not self.stages:
            return float(self.mix or 0)
        return sum(float(stage.stir) for stage in self.wet_stages)

    @property
    def making_seconds(self) -> float:
        """Hands-on seconds from the start of weighing until the batch can be applied."""
        return self.seconds_before_wet + self.seconds_wet_to_ready
