"""Quantities with units: read from text, kept in one internal unit a kind.

Every quantity in a shop file carries its unit ("420 g", "1 lb 4 oz", "3/8 in"). Inside,
a quantity is a plain float in its kind's one internal unit that remembers how it was
written, so that a file saved again says what its author said.

Conversion factors: NIST SP 811 (2008), Appendix B; inch, pound, ounce and US gallon are exact.
"""

from __future__ import annotations

import functools
import re
from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING, Any, ClassVar, Self

from pydantic_core import PydanticCustomError, core_schema

if TYPE_CHECKING:
    from collections.abc import Mapping

    from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
    from pydantic.json_schema import JsonSchemaValue

LONGEST_TEXT = 60
GREATEST = 10**9

_NUMBER = r"\d+\s+\d+/\d+|\d+/\d+|\d*\.?\d+|\d+\."
_ANY_UNIT = r"[^\W\d_][^\s\d]*|%"


@functools.cache
def _term_of(units: tuple[str, ...]) -> re.Pattern[str]:
    """Return the pattern of a number and its unit: the longest known unit, or else any word.

    Known units come first because some end in a digit ("cm2") or in another unit's letters.
    """
    known = "|".join(re.escape(unit) for unit in sorted(units, key=len, reverse=True))
    return re.compile(
        rf"\s*({_NUMBER})\s*((?:{known})(?![^\W\d_]|/)|{_ANY_UNIT})\s*", re.IGNORECASE
    )


_POUND = Fraction("453.59237")
_INCH = Fraction("25.4")
_GALLON = Fraction("3785.411784")


class Quantity(float):
    """A finite number, zero or more, in the kind's internal unit; `text` is how it was written."""

    __slots__ = ("text",)
    text: str

    kind: ClassVar[str] = "quantity"
    unit: ClassVar[str] = ""
    example: ClassVar[str] = ""
    factors: ClassVar[Mapping[str, Fraction]] = {}

    def __new__(cls, value: float, text: str | None = None) -> Self:
        number = super().__new__(cls, value)
        number.text = text if text is not None else cls._plain_text(float(value))
        return number

    def __reduce__(self) -> tuple[type[Self], tuple[float, str]]:
        return type(self), (float(self), self.text)

    def __repr__(self) -> str:
        return f"{type(self).__name__}({self.text!r})"

    @classmethod
    def _plain_text(cls, value: float) -> str:
        number = str(int(value)) if value == int(value) else format(Decimal(repr(value)), "f")
        return f"{number} {cls.unit}".strip()

    @classmethod
    def parse(cls, text: str) -> Self:
        """Read "1 lb 4 oz", "3/8 in", "2.5 mm" ...

        Raises
        ------
        ValueError
            In a sentence that says what was found and what was expected.
        """
        kind: Any = cls
        value, written = _parsed(kind, text)
        return cls(value, written)

    @classmethod
    def _amount(cls, text: str) -> tuple[float, str]:
        expected = f"expected a {cls.kind} with its unit, such as {cls.example!r}"
        if len(text) > LONGEST_TEXT:
            raise ValueError(f"found {text[:LONGEST_TEXT]!r}…, {expected}")
        position, total = 0, Fraction(0)
        term = _term_of(tuple(cls.factors))
        while position < len(text):
            match = term.match(text, position)
            if match is None:
                raise ValueError(f"found {text!r}, {expected}")
            factor = cls.factors.get(match[2]) or cls.factors.get(match[2].lower())
            if factor is None:
                units = ", ".join(cls.factors)
                raise ValueError(
                    f"found the unit {match[2]!r} in {text!r}, expected one of: {units}"
                )
            total += _fraction(match[1], text, expected) * factor
            position = match.end()
        if position == 0:
            raise ValueError(f"found an empty text, {expected}")
        if total > GREATEST:
            raise ValueError(f"found {text!r}, which is more than {GREATEST} {cls.unit}")
        return float(total), " ".join(text.split())

    @classmethod
    def _validate(cls, value: Any) -> Self:
        if isinstance(value, cls):
            return value
        if isinstance(value, str):
            try:
                return cls.parse(value)
            except ValueError as error:
                raise PydanticCustomError("quantity", "{why}", {"why": str(error)}) from None
        raise PydanticCustomError(
            "quantity",
            "{why}",
            {
                "why": f"found {_short(value)}, expected a {cls.kind} with its unit, such as {cls.example!r}"
            },
        )

    @classmethod
    def __get_pydantic_core_schema__(
        cls, source: Any, handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        return core_schema.no_info_plain_validator_function(
            cls._validate,
            serialization=core_schema.plain_serializer_function_ser_schema(
                lambda quantity: quantity.text, return_schema=core_schema.str_schema()
            ),
        )

    @classmethod
    def __get_pydantic_json_schema__(
        cls, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        return {"type": "string", "description": f"a {cls.kind}", "examples": [cls.example]}


@functools.lru_cache(maxsize=4096)
def _parsed(kind: type[Quantity], text: str) -> tuple[float, str]:
    """Return what a text amounts to; a shop and its builds say the same quantities many times."""
    return kind._amount(text)  # noqa: SLF001


def _short(value: object) -> str:
    text = repr(value)
    return text if len(text) <= LONGEST_TEXT else f"{text[:LONGEST_TEXT]}…"


def _fraction(number: str, text: str, expected: str) -> Fraction:
    try:
        return sum((Fraction(word) for word in number.split()), Fraction(0))
    except ZeroDivisionError:
        raise ValueError(f"found {text!r}, which divides by zero, {expected}") from None


class Mass(Quantity):
    """Grams."""

    __slots__ = ()
    kind = "weight"
    unit = "g"
    example = "420 g"
    factors: ClassVar[Mapping[str, Fraction]] = {
        "g": Fraction(1),
        "kg": Fraction(1000),
        "mg": Fraction(1, 1000),
        "t": Fraction(10**6),
        "lb": _POUND,
        "lbs": _POUND,
        "oz": _POUND / 16,
    }


class Duration(Quantity):
    """Seconds."""

    __slots__ = ()
    kind = "time"
    unit = "s"
    example = "7 min"
    factors: ClassVar[Mapping[str, Fraction]] = {
        "s": Fraction(1),
        "sec": Fraction(1),
        "min": Fraction(60),
        "h": Fraction(3600),
        "d": Fraction(86400),
        "days": Fraction(86400),
        "day": Fraction(86400),
    }


class Length(Quantity):
    """Millimetres."""

    __slots__ = ()
    kind = "length"
    unit = "mm"
    example = "2.5 mm"
    factors: ClassVar[Mapping[str, Fraction]] = {
        "mm": Fraction(1),
        "cm": Fraction(10),
        "m": Fraction(1000),
        "in": _INCH,
        "ft": _INCH * 12,
    }


class Area(Quantity):
    """Square millimetres."""

    __slots__ = ()
    kind = "area"
    unit = "mm2"
    example = "1800 cm2"
    factors: ClassVar[Mapping[str, Fraction]] = {
        "mm2": Fraction(1),
        "cm2": Fraction(100),
        "m2": Fraction(10**6),
        "in2": _INCH**2,
        "ft2": (_INCH * 12) ** 2,
        "mm²": Fraction(1),
        "cm²": Fraction(100),
        "m²": Fraction(10**6),
        "in²": _INCH**2,
        "ft²": (_INCH * 12) ** 2,
    }


class Volume(Quantity):
    """Millilitres."""

    __slots__ = ()
    kind = "volume"
    unit = "ml"
    example = "480 ml"
    factors: ClassVar[Mapping[str, Fraction]] = {
        "ml": Fraction(1),
        "l": Fraction(1000),
        "cl": Fraction(10),
        "gal": _GALLON,
        "qt": _GALLON / 4,
        "pt": _GALLON / 8,
        "floz": _GALLON / 128,
    }


class Density(Quantity):
    """Grams per millilitre."""

    __slots__ = ()
    kind = "density"
    unit = "g/ml"
    example = "1.85 g/ml"
    factors: ClassVar[Mapping[str, Fraction]] = {
        "g/ml": Fraction(1),
        "g/cm3": Fraction(1),
        "kg/l": Fraction(1),
        "kg/m3": Fraction(1, 1000),
        "lb/ft3": _POUND / (_INCH * 12 / 10) ** 3,
        "lb/gal": _POUND / _GALLON,
    }


class Percent(Quantity):
    """Hundredths: "5 %" is 5.0."""

    __slots__ = ()
    kind = "percentage"
    unit = "%"
    example = "5 %"
    factors: ClassVar[Mapping[str, Fraction]] = {"%": Fraction(1)}


class Temperature(Quantity):
    """Degrees Celsius; below zero is allowed, sums of terms are not."""

    __slots__ = ()
    kind = "temperature"
    unit = "C"
    example = "21 C"
    factors: ClassVar[Mapping[str, Fraction]] = {"C": Fraction(1), "F": Fraction(5, 9)}

    @classmethod
    def parse(cls, text: str) -> Self:
        match = re.fullmatch(r"\s*([-−+]?)\s*(\d+(?:\.\d+)?)\s*°?\s*([CF])\s*", text)
        if match is None or len(text) > LONGEST_TEXT:
            raise ValueError(
                f"found {text[:LONGEST_TEXT]!r}, expected a temperature such as '21 C' or '70 F'"
            )
        degrees = Fraction(match[2]) * (-1 if match[1] in {"-", "−"} else 1)
        celsius = degrees if match[3] == "C" else (degrees - 32) * Fraction(5, 9)
        if not -80 <= celsius <= 400:
            raise ValueError(f"found {text!r}, expected a temperature between -80 C and 400 C")
        return cls(float(celsius), " ".join(text.split()))


class Price(Quantity):
    """Money for a gram, in the shop's currency; written as a pack: "46.00 for 25 kg"."""

    __slots__ = ()
    kind = "price"
    unit = "for 1 g"
    example = "46.00 for 25 kg"

    @classmethod
    def parse(cls, text: str) -> Self:
        money, separator, pack = text[:LONGEST_TEXT].partition(" for ")
        readable = separator and re.fullmatch(r"\s*\d+(\.\d+)?\s*", money)
        if not readable or len(text) > LONGEST_TEXT or float(money) > GREATEST:
            raise ValueError(
                f"found {text[:LONGEST_TEXT]!r}, expected a price such as {cls.example!r}"
            )
        grams = Mass.parse(pack)
        if not grams:
            raise ValueError(f"found {text!r}, expected a pack that weighs something")
        return cls(float(money) / grams, " ".join(text.split()))
