"""A line from a bench scale, read as a weight.

Two common ASCII forms: with a header of stability and kind, as ``ST,GS,+00123.4 g``, and plain,
as ``123.4 g``. Headers: ST stable, US unstable, OL beyond what the scale can weigh; GS gross,
NT net, TR tare. Pounds and ounces: NIST SP 811, exact.
"""

from __future__ import annotations

import re
from typing import Literal

from floorboard.shop.base import Definition
from floorboard.shop.quantities import Mass

LONGEST_LINE = 80
UNITS = ("g", "kg", "mg", "lb", "oz")

_NUMBER = r"[+-]?[ ]*(?:\d{1,9}(?:\.\d{0,6})?|\.\d{1,6})"
_LINE = re.compile(
    rf"(?:(?P<state>ST|US|OL)[ ]*,[ ]*)?(?:(?P<kind>GS|NT|TR)[ ]*,[ ]*)?"
    rf"(?P<number>{_NUMBER})[ \t]*(?P<unit>{'|'.join(UNITS)})",
    re.IGNORECASE | re.ASCII,
)


class ScaleReading(Definition):
    """What a line says. `grams` is set only when the weight may be taken.

    A weight that may not be taken is unstable, beyond the scale, or no weight at all:
    `sentence` then says which.
    """

    grams: float | None
    kind: Literal["gross", "net", "tare"] | None = None
    sentence: str = ""

    @property
    def taken(self) -> bool:
        """Whether the line gives a weight to work with."""
        return self.grams is not None


_KINDS: dict[str, Literal["gross", "net", "tare"]] = {"GS": "gross", "NT": "net", "TR": "tare"}


def read_scale_line(line: str | bytes) -> ScaleReading:
    """Read one line; never raises."""
    text = line.decode("ascii", "replace") if isinstance(line, bytes) else line
    text = text.strip(" \r\n\t\0\x02\x03")
    if not text:
        return ScaleReading(grams=None, sentence="The scale sent an empty line.")
    if text[:2].upper() == "OL" and not text[2:3].isalnum():
        return ScaleReading(
            grams=None, sentence="The scale shows more than it can weigh: take some off."
        )
    match = _LINE.fullmatch(text) if len(text) <= LONGEST_LINE else None
    if match is None:
        shown = text[:LONGEST_LINE].encode("ascii", "backslashreplace").decode("ascii")
        return ScaleReading(
            grams=None,
            sentence=f"The scale sent {shown!r}, expected a weight such as '123.4 g'.",
        )
    number = match["number"].replace(" ", "").lstrip("+")
    if (match["state"] or "").upper() == "US":
        return ScaleReading(
            grams=None,
            sentence=f"The scale is not still yet at {number} {match['unit']}: wait, then take it.",
        )
    return ScaleReading(
        grams=_grams(number, match["unit"].lower()),
        kind=_KINDS.get((match["kind"] or "").upper()),
    )


def _grams(number: str, unit: str) -> float:
    weight = float(Mass.parse(f"{number.lstrip('-')} {unit}"))
    return -weight if number.startswith("-") and weight else weight
