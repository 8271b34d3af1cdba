"""Materials: what is bought, kept in lots, and weighed into a batch."""

from __future__ import annotations

from typing import Literal, Self

from pydantic import Field, model_validator

from floorboard.shop.base import Definition, Id, Name
from floorboard.shop.quantities import Density, Duration, Mass, Percent, Price

Form = Literal["powder", "liquid", "fibre"]


class Solution(Definition):
    """A stock solution: so much of an active material in so much water."""

    active: Id = Field(description="the material dissolved")
    amount: Mass = Field(description="of the active material")
    water: Mass

    @model_validator(mode="after")
    def _holds_something(self) -> Self:
        if self.amount <= 0:
            raise ValueError(f"found an amount of {self.amount.text}, expected more than nothing")
        return self

    @property
    def strength_percent(self) -> float:
        """Active material by weight of the whole solution, in percent."""
        return 100.0 * self.amount / (self.amount + self.water)


class Material(Definition):
    """Something weighed into a batch."""

    name: Name
    form: Form
    density: Density | None = Field(default=None, description="needed where parts go by volume")
    solution: Solution | None = None
    price: Price | None = None
    shelf_life: Duration | None = Field(default=None, description="from receipt, unopened")
    open_life: Duration | None = Field(default=None, description="once opened")
    lead_time: Duration | None = Field(default=None, description="from order to delivery")
    reorder_at: Mass | None = Field(default=None, description="the shop's own reorder point")
    scale_tolerance: Percent | None = Field(
        default=None, description="deviation from target above which a weighing is flagged"
    )
