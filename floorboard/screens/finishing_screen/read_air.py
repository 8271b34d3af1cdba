"""Reads the air as it is typed: room temperature, humidity, surface temperature. Pure."""

from __future__ import annotations

from floorboard.records.room_air import (
    COLDEST_ROOM_CELSIUS,
    HOTTEST_ROOM_CELSIUS,
    can_be_a_room,
)
from floorboard.shop.quantities import Percent, Temperature


def read_air(text: str) -> dict[str, float]:
    """Return the readings by their names in the log; those not typed are left out.

    The first temperature is the room's, the second the surface's; the percentage is the humidity.
    They are typed in any order that keeps this, with commas between.

    Raises
    ------
    ValueError
        In a sentence, with an example.
    """
    found: dict[str, float] = {}
    parts = [part.strip() for part in text.replace(";", ",").split(",") if part.strip()]
    if not parts:
        raise ValueError("Type the readings with commas between, such as 21 C, 55 %, 18 C.")
    for part in parts:
        name, value = _reading(part, found)
        if name in found:
            raise ValueError(f"Found {part[:30]!r} besides the readings before it; leave it out.")
        found[name] = value
    return found


def _reading(part: str, found: dict[str, float]) -> tuple[str, float]:
    if part.endswith("%"):
        humidity = float(Percent.parse(part))
        if humidity > 100:
            raise ValueError(f"Found {part[:30]!r}; humidity is 0 % to 100 %.")
        return "humidity_percent", humidity
    celsius = float(Temperature.parse(part))
    if "room_celsius" in found:
        return "surface_celsius", celsius
    if not can_be_a_room(celsius):
        raise ValueError(
            f"Found {part[:30]!r}; a room is {COLDEST_ROOM_CELSIUS:.0f} C to"
            f" {HOTTEST_ROOM_CELSIUS:.0f} C. Degrees Fahrenheit are typed with an F, such as 70 F."
        )
    return "room_celsius", celsius


def air_problem(text: str) -> str | None:
    """Return what is wrong with typed readings, if anything is."""
    try:
        read_air(text)
    except ValueError as problem:
        return str(problem)
    return None
