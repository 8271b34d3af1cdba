"""Pieces: a design that is cast, its layers and its finishing route."""

from __future__ import annotations

from typing import Annotated, Any, Literal, Self

from pydantic import Field, field_validator, model_validator

from floorboard.shop.base import Definition, Id, Name, Note
from floorboard.shop.mixes import Caution
from floorboard.shop.quantities import Area, Duration, Length, Mass

StepKind = Literal[
    "trim", "flatten", "sand", "inspect", "repair", "wash", "dry", "seal", "cure", "pack"
]
PASSIVE_KINDS = frozenset({"dry", "cure"})


class Layer(Definition):
    """One coat inside the mold.

    Both waits count from the end of this layer's application to the start of the next:
    `partial_cure` the least, `recoat_by` the greatest. The recoat window lies between them.
    """

    name: Name | None = None
    mix: Id
    amount: Mass | None = None
    thickness: Length | None = None
    area: Area | None = None
    apply: Duration = Field(description="how long the layer is worked, hands-on")
    partial_cure: Duration = Duration(0)
    recoat_by: Duration | None = Field(
        default=None,
        description="greatest wait for the next layer to bond; 'none' if any wait does",
    )
    station: Id | None = Field(default=None, description="a spinning frame, where one is needed")

    @field_validator("recoat_by", mode="before")
    @classmethod
    def _none_in_words(cls, value: Any) -> Any:
        return None if value == "none" else value

    @model_validator(mode="after")
    def _one_amount(self) -> Self:
        by_coverage = self.thickness is not None and self.area is not None
        if (self.thickness is None) != (self.area is None):
            raise ValueError("found only one of 'thickness' and 'area', expected both")
        if (self.amount is not None) == by_coverage:
            raise ValueError("expected either 'amount' or 'thickness' with 'area'")
        if self.recoat_by is not None and self.recoat_by < self.partial_cure:
            raise ValueError(
                f"found partial_cure {self.partial_cure.text} longer than recoat_by "
                f"{self.recoat_by.text}: the recoat window closes before it opens"
            )
        return self


class Step(Definition):
    """One step of a finishing route: hands-on work, or passive time."""

    name: Name | None = None
    kind: StepKind
    takes: Duration
    station: Id | None = Field(default=None, description="a bench, spray booth or rack place")
    start_by: Duration | None = Field(
        default=None, description="greatest wait after the step before, as between sealer coats"
    )
    to_constant_weight: bool = Field(
        default=False, description="a drying step that weighings end, not the clock alone"
    )
    coating: bool = Field(
        default=False,
        description="needs the surface clear of the dew point, as for washes and sealers",
    )
    together: Annotated[int, Field(ge=1, le=1000)] = Field(
        default=1, description="how many castings one session can take"
    )
    each_more: Duration = Field(
        default=Duration(0), description="what each further casting adds to a shared session"
    )
    uses: dict[Id, Mass] = Field(default_factory=dict, description="material used on one casting")
    cautions: tuple[Caution, ...] = ()
    note: Note | None = None

    @field_validator("start_by", mode="before")
    @classmethod
    def _none_in_words(cls, value: Any) -> Any:
        return None if value == "none" else value

    @property
    def passive(self) -> bool:
        """Whether the step holds no hands."""
        return self.kind in PASSIVE_KINDS


class Piece(Definition):
    """A design that is cast."""

    name: Name
    layers: Annotated[tuple[Layer, ...], Field(min_length=1, max_length=40)]
    ready: Duration = Field(description="hands-on: clean and ready the mold")
    full_cure: Duration = Field(description="least wait from the last layer to demold")
    demold: Duration = Field(description="hands-on")
    route: Annotated[tuple[Step, ...], Field(max_length=60)] = ()
    worth: Annotated[float, Field(gt=0, le=1_000_000)] = 1.0
    cautions: tuple[Caution, ...] = ()
    wall: Length | None = Field(default=None, description="wall thickness wanted")
    least_wall: Length | None = Field(default=None, description="thinner walls are flagged")
    dry_weight: Mass | None = Field(default=None, description="weight of a good dry casting")
