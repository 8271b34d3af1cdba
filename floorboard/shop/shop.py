"""The shop: people, materials, mixes, pieces, molds, stations and orders in one value."""

from __future__ import annotations

import datetime as dt
import re
import zoneinfo
from typing import Annotated, Any, Literal, Self

from pydantic import BeforeValidator, Field, StringConstraints, field_validator, model_validator

from floorboard.shop.base import HIGHEST_NUMBER, Definition, Id, Name
from floorboard.shop.materials import Material
from floorboard.shop.mixes import Mix
from floorboard.shop.pieces import Piece
from floorboard.shop.quantities import Duration, Mass, Percent

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")

Skill = Literal["ready", "layer", "demold", "finish"]
ALL_SKILLS: tuple[Skill, ...] = ("ready", "layer", "demold", "finish")


def _weekdays(value: Any) -> tuple[int, ...]:
    """Read "mon-fri", "mon wed fri" or "sat, sun" as day numbers, Monday 0."""
    if isinstance(value, list | tuple) and all(type(day) is int for day in value):
        return tuple(sorted(set(value)))
    if not isinstance(value, str):
        raise ValueError(f"found {str(value)[:60]!r}, expected days such as 'mon-fri'")
    days: list[int] = []
    for word in value.replace(",", " ").lower().split():
        first, dash, last = word.partition("-")
        if first not in WEEKDAYS or (dash and last not in WEEKDAYS):
            raise ValueError(f"found {word!r}, expected days such as 'mon-fri' or 'mon wed sat'")
        start, end = WEEKDAYS.index(first), WEEKDAYS.index(last if dash else first)
        days += [day % 7 for day in range(start, end + 1 if end >= start else end + 8)]
    if not days:
        raise ValueError(f"found {value!r}, expected days such as 'mon-fri' or 'mon wed sat'")
    return tuple(sorted(set(days)))


def _local_time(value: Any) -> Any:
    """Read "07:30"; "24:00" is midnight. A bare number would be taken for seconds: refused."""
    if isinstance(value, dt.time) and value.tzinfo is None:
        return value
    if isinstance(value, str) and re.fullmatch(r"[0-9]{1,2}:[0-9]{2}(:[0-9]{2})?", value):
        hours, minutes, *seconds = (int(word) for word in value.split(":"))
        if (hours, minutes, *seconds) in {(24, 0), (24, 0, 0)}:
            return dt.time(0)
        if hours <= 23 and minutes <= 59 and sum(seconds) <= 59:
            return dt.time(hours, minutes, sum(seconds))
    raise ValueError(f"found {str(value)[:60]!r}, expected a time of day such as '07:30'")


LocalTime = Annotated[dt.time, BeforeValidator(_local_time)]


class Stretch(Definition):
    """A stretch of local time on some days of the week; past midnight if it ends before it starts."""

    days: Annotated[
        tuple[Annotated[int, Field(ge=0, le=6)], ...], Field(min_length=1, max_length=7)
    ] = Field(default=(0, 1, 2, 3, 4), description="on which the stretch starts")
    start: LocalTime
    end: LocalTime

    _read_days = field_validator("days", mode="before")(_weekdays)

    @model_validator(mode="after")
    def _has_length(self) -> Self:
        if self.start == self.end:
            raise ValueError(
                f"found a stretch from {self.start:%H:%M} to itself, expected some length"
            )
        return self


class Person(Definition):
    """A pair of hands."""

    name: Name
    shifts: Annotated[tuple[Stretch, ...], Field(min_length=1, max_length=21)]
    breaks: Annotated[tuple[Stretch, ...], Field(max_length=21)] = ()
    skills: tuple[Skill, ...] = ALL_SKILLS
    hourly: Annotated[float, Field(ge=0, le=100_000)] = 0.0


class Mold(Definition):
    """A physical mold of one piece."""

    name: Name | None = None
    number: Annotated[int, Field(ge=1, le=HIGHEST_NUMBER, strict=True)] = Field(
        description="what is keyed to choose it"
    )
    piece: Id
    pulls: Annotated[int, Field(ge=0, le=1_000_000, strict=True)] = Field(
        default=0, description="so far, before the log"
    )
    retire_at: Annotated[int, Field(ge=1, le=1_000_000, strict=True)] | None = None
    care_every: Annotated[int, Field(ge=1, le=100_000, strict=True)] | None = None
    in_service: bool = True


class Station(Definition):
    """A mixer, spinning frame, spray booth or drying rack: so many places."""

    name: Name
    places: Annotated[int, Field(ge=1, le=10_000, strict=True)]


class Order(Definition):
    """A piece, how many, and when they are due."""

    name: Name | None = None
    piece: Id
    quantity: Annotated[int, Field(ge=1, le=100_000, strict=True)]
    due: dt.datetime | dt.date = Field(description="local time of the shop; a date means its end")
    weight: Annotated[float, Field(gt=0, le=1000)] = Field(default=1.0, description="of lateness")

    @field_validator("due", mode="before")
    @classmethod
    def _read_due(cls, value: Any) -> Any:
        # A date must stay a date: it means the end of that day, a time its very moment.
        found = value
        if isinstance(value, str):
            try:
                found = (
                    dt.date.fromisoformat(value)
                    if len(value) <= len("2026-03-13")
                    else dt.datetime.fromisoformat(value)
                )
            except ValueError:
                found = None
        if not isinstance(found, dt.date) or not 2000 <= found.year <= 2999:
            raise ValueError(
                f"found {str(value)[:60]!r}, expected a date such as 2026-03-13 or a date with "
                "a time such as 2026-03-13T12:00:00"
            )
        return found


class Reason(Definition):
    """Why a casting is rejected or sent back."""

    name: Name


DEFAULT_REASONS = {
    "void": Reason(name="Void"),
    "thin-wall": Reason(name="Thin wall"),
    "delamination": Reason(name="Delamination"),
    "fibre-showing": Reason(name="Fibre showing"),
    "warp": Reason(name="Warp"),
    "mold-tear": Reason(name="Tear of mold"),
    "colour": Reason(name="Colour"),
    "window-lost": Reason(name="Recoat window lost"),
    "other": Reason(name="Other"),
}


class Settings(Definition):
    """What holds for the whole shop."""

    name: Name
    zone: Annotated[str, StringConstraints(max_length=64)] = Field(description="IANA time zone")
    units: Literal["metric", "us"] = Field(default="metric", description="shown on screen")
    currency: Annotated[str, StringConstraints(max_length=8)] = ""
    pour_margin: Duration = Field(
        default=Duration(30), description="kept back from every working time"
    )
    mix_ahead: bool = Field(
        default=True,
        description="whether the next batch may be made while the layer before still cures, "
        "so that the pour meets the moment the cure is reached",
    )
    walk: Duration = Field(default=Duration(0), description="between two places in the shop")
    scale_resolution: Mass = Mass(1)
    scale_tolerance: Percent = Percent(2)
    constant_weight: Percent = Field(
        default=Percent(0.1), description="dry when two weighings differ by less than this"
    )
    weighings_apart: Duration = Field(default=Duration(7200), description="least time between them")
    quiet: Annotated[tuple[Stretch, ...], Field(max_length=50)] = Field(
        default=(), description="hours in which the board calls without sound"
    )
    far_view_after: Duration | None = Field(
        default=None, description="how long nobody keys anything before the far view comes on"
    )

    @field_validator("zone")
    @classmethod
    def _known_zone(cls, value: str) -> str:
        try:
            zoneinfo.ZoneInfo(value)
        except (zoneinfo.ZoneInfoNotFoundError, ValueError, OSError):
            raise ValueError(
                f"found {value!r}, expected a time zone such as 'Europe/Lisbon' or 'America/Chicago'"
            ) from None
        return value


MOST = {
    "people": 200,
    "materials": 2000,
    "mixes": 1000,
    "pieces": 2000,
    "molds": 2000,
    "orders": 5000,
}


class Shop(Definition):
    """Everything a shop file says. Keys are ids; orders, molds and pieces refer by them."""

    shop: Settings
    people: Annotated[dict[Id, Person], Field(min_length=1, max_length=MOST["people"])]
    materials: Annotated[dict[Id, Material], Field(max_length=MOST["materials"])]
    mixes: Annotated[dict[Id, Mix], Field(max_length=MOST["mixes"])]
    pieces: Annotated[dict[Id, Piece], Field(max_length=MOST["pieces"])]
    molds: Annotated[dict[Id, Mold], Field(max_length=MOST["molds"])]
    stations: Annotated[dict[Id, Station], Field(max_length=500)] = Field(default_factory=dict)
    orders: Annotated[dict[Id, Order], Field(max_length=MOST["orders"])] = Field(
        default_factory=dict
    )
    reasons: Annotated[dict[Id, Reason], Field(max_length=100)] = Field(
        default_factory=lambda: dict(DEFAULT_REASONS)
    )

    def mold_by_number(self, number: int) -> str | None:
        """Return the id of the mold keyed by this number, if there is one."""
        return next((key for key, mold in self.molds.items() if mold.number == number), None)

    def piece_of_mold(self, mold: str) -> Piece:
        """Return the piece cast in a mold."""
        return self.pieces[self.molds[mold].piece]
