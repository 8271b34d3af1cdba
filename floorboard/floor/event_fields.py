"""What the fields of an event may hold. Quantities carry their one internal unit."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, TypeVar

from pydantic import AfterValidator, AwareDatetime, Field, StringConstraints

from floorboard.shop.printable import LONGEST_SOURCE, LONGEST_STATION, printable

DayOrMoment = TypeVar("DayOrMoment", dt.date, dt.datetime)
Serial = Annotated[str, StringConstraints(pattern=r"^[0-9A-Za-z][0-9A-Za-z-]*$", max_length=40)]
Grams = Annotated[float, Field(ge=0, le=1e9, allow_inf_nan=False)]
Millimetres = Annotated[float, Field(ge=0, le=1e6, allow_inf_nan=False)]
Seconds = Annotated[float, Field(ge=0, le=1e9, allow_inf_nan=False)]
Celsius = Annotated[float, Field(ge=-80, le=400, allow_inf_nan=False)]
Index = Annotated[int, Field(ge=0, le=1000)]
Lot = Annotated[str, StringConstraints(min_length=1, max_length=80), AfterValidator(printable)]
# May be empty: nothing was named.
LotNamed = Annotated[str, StringConstraints(max_length=80), AfterValidator(printable)]
WallPoint = Annotated[str, StringConstraints(max_length=60), AfterValidator(printable)]
Source = Annotated[str, StringConstraints(max_length=LONGEST_SOURCE), AfterValidator(printable)]
Station = Annotated[str, StringConstraints(max_length=LONGEST_STATION), AfterValidator(printable)]

EARLIEST_YEAR, LATEST_YEAR = 2000, 2999


def countable(moment: DayOrMoment) -> DayOrMoment:
    """Return a day or moment unchanged.

    Raises
    ------
    ValueError
        If it is so far off that waits counted from it would fall out of the calendar.
    """
    if not EARLIEST_YEAR <= moment.year <= LATEST_YEAR:
        raise ValueError(
            f"found the year {moment.year}, expected one from {EARLIEST_YEAR} to {LATEST_YEAR}"
        )
    return moment


Moment = Annotated[AwareDatetime, AfterValidator(countable)]
Day = Annotated[dt.date, AfterValidator(countable)]
