"""Quantities and pairs such as "plaster=500 g" as people type them on the command line."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from floorboard.shop.quantities import Percent

if TYPE_CHECKING:
    from floorboard.shop.quantities import Quantity

    NumberParam = click.ParamType[float]
    PairParam = click.ParamType[tuple[str, float]]
else:
    # Only newer releases of click can say at run time what a type converts to.
    NumberParam = PairParam = click.ParamType


class QuantityType(NumberParam):
    """A quantity with its unit; a percentage may go without."""

    def __init__(self, kind: type[Quantity]) -> None:
        self.kind = kind
        self.name = kind.kind

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """Return the quantity in its kind's internal unit, or refuse it in a sentence."""
        if isinstance(value, float):
            return value
        text = str(value)
        if self.kind is Percent and not text.rstrip().endswith("%"):
            text = f"{text} %"
        try:
            return float(self.kind.parse(text))
        except ValueError as error:
            self.fail(f"{error}.", param, ctx)


class PairType(PairParam):
    """A name and a quantity: "plaster=500 g"."""

    def __init__(self, kind: type[Quantity], of: str = "material") -> None:
        self._quantity = QuantityType(kind)
        self._of = of
        self.name = f"{of}={kind.kind}"

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> tuple[str, float]:
        """Return the name and the quantity, or refuse the pair in a sentence."""
        if isinstance(value, tuple):
            return value
        name, equals, quantity = str(value).partition("=")
        if not equals or not name.strip():
            self.fail(
                f"found {value!r}, expected a name and a {self._quantity.name}, such as "
                f"'{self._of}={self._quantity.kind.example}'.",
                param,
                ctx,
            )
        return name.strip(), self._quantity.convert(quantity, param, ctx)
