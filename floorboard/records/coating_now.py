"""Whether the air allows coating, from the day's readings."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from floorboard.records.coating import coating_conditions
from floorboard.records.finishing_model import CoatingLine

if TYPE_CHECKING:
    from floorboard.floor.events import ConditionsRead

# Air changes through a day; the shop's own rule, no source.
READ_AGAIN = dt.timedelta(hours=2)


def coating_line(
    conditions: ConditionsRead | None, read_at: dt.datetime | None, now: dt.datetime
) -> CoatingLine:
    """Compare the surface with the dew point, as last read; say what to read where it is missing."""
    if conditions is None or read_at is None:
        return _unknown(
            conditions, read_at, "Read room, humidity and surface temperature before coating."
        )
    readings = {
        "room temperature": conditions.room_celsius,
        "humidity": conditions.humidity_percent,
        "surface temperature": conditions.surface_celsius,
    }
    missing = [name for name, value in readings.items() if value is None]
    if missing:
        return _unknown(
            conditions, read_at, f"Read the {' and the '.join(missing)} before coating."
        )
    air, humidity, surface = (float(value or 0.0) for value in readings.values())
    try:
        found = coating_conditions(air, humidity, surface)
    except ValueError as error:
        return _unknown(conditions, read_at, f"The readings cannot be: {error}")
    sentence = found.sentence
    if now - read_at > READ_AGAIN:
        hours = (now - read_at).total_seconds() / 3600
        sentence = f"Read {hours:.0f} h ago; read again before coating. {sentence}"
    return CoatingLine(
        read_at=read_at,
        air_celsius=air,
        humidity_percent=humidity,
        surface_celsius=surface,
        dew_point_celsius=found.dew_point_celsius,
        margin_celsius=found.margin_celsius,
        wait=found.wait,
        sentence=sentence,
    )


def _unknown(
    conditions: ConditionsRead | None, read_at: dt.datetime | None, sentence: str
) -> CoatingLine:
    return CoatingLine(
        read_at=read_at,
        air_celsius=conditions.room_celsius if conditions is not None else None,
        humidity_percent=conditions.humidity_percent if conditions is not None else None,
        surface_celsius=conditions.surface_celsius if conditions is not None else None,
        dew_point_celsius=None,
        margin_celsius=None,
        wait=None,
        sentence=sentence,
    )
