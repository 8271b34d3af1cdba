"""A finding: something wrong with a shop that only shows when its parts are held together."""

from __future__ import annotations

import copy
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Any, TypeVar

from pydantic import ValidationError

from floorboard.shop.base import Definition
from floorboard.shop.errors import field_text
from floorboard.shop.materials import Material
from floorboard.shop.mixes import Mix
from floorboard.shop.pieces import Piece
from floorboard.shop.shop import MOST, Person, Settings, Shop

Path = tuple[str | int, ...]
Entry = TypeVar("Entry", bound=Definition)

_UNNAMED = Settings(name="shop", zone="UTC")
_MOST_NAMED = 8


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing wrong: where, what was found, what was expected, and what to do about it."""

    path: Path
    found: str
    expected: str
    remedy: str = ""

    @property
    def message(self) -> str:
        """The finding as sentences that say what to do."""
        said = f"{field_text(self.path)}: found {self.found}, expected {self.expected}."
        return f"{said} {self.remedy}" if self.remedy else said


@dataclass(frozen=True)
class SoundParts:
    """The entries of a shop that are sound each by itself, whatever is wrong with the others.

    `whole` names the sections in which every entry is sound: only there can it be said that
    something is missing.
    """

    settings: Settings = _UNNAMED
    people: Mapping[str, Person] = field(default_factory=dict)
    materials: Mapping[str, Material] = field(default_factory=dict)
    mixes: Mapping[str, Mix] = field(default_factory=dict)
    pieces: Mapping[str, Piece] = field(default_factory=dict)
    whole: frozenset[str] = frozenset()

    @classmethod
    def of_shop(cls, shop: Shop) -> SoundParts:
        """Return all parts of a shop that was read without a mistake."""
        return cls(
            shop.shop,
            shop.people,
            shop.materials,
            shop.mixes,
            shop.pieces,
            frozenset(Shop.model_fields),
        )

    @classmethod
    def of_data(cls, data: Mapping[str, Any], damaged: frozenset[str]) -> SoundParts:
        """Return what can be read of data with mistakes in it, nothing of damaged sections."""
        data = {key: value for key, value in data.items() if key not in damaged}
        whole: set[str] = set()
        try:
            settings = Settings.model_validate(data.get("shop"))
        except ValidationError:
            settings = _UNNAMED
        return cls(
            settings,
            _read_all(Person, data, "people", whole),
            _read_all(Material, data, "materials", whole),
            _read_all(Mix, data, "mixes", whole),
            _read_all(Piece, data, "pieces", whole),
            frozenset(whole),
        )


def _read_all(
    model: type[Entry], data: Mapping[str, Any], section: str, whole: set[str]
) -> dict[str, Entry]:
    entries = data.get(section)
    if not isinstance(entries, Mapping) or len(entries) > MOST[section]:
        return {}
    sound: dict[str, Entry] = {}
    unsound = False
    for key, value in entries.items():
        try:
            sound[key] = model.model_validate(value)
        except ValidationError as error:
            mended = _without_unknown_fields(value, error)
            if mended is not None:
                with suppress(ValidationError):
                    sound[key] = model.model_validate(mended)
            unsound = True
    if not unsound:
        whole.add(section)
    return sound


def _without_unknown_fields(value: Any, error: ValidationError) -> Any:
    """Return an entry less the fields nobody knows, where nothing else is wrong with it.

    A field misspelt must not hide that a layer does not fit its bucket.
    """
    errors = error.errors(include_url=False)
    if any(one["type"] != "extra_forbidden" for one in errors):
        return None
    mended = copy.deepcopy(value)
    for one in errors:
        here = mended
        try:
            for step in one["loc"][:-1]:
                here = here[step]
            del here[one["loc"][-1]]
        except (KeyError, IndexError, TypeError):
            return None
    return mended


def names_text(names: Sequence[str], quote: str = "'") -> str:
    """Return names in a row, the first few of many."""
    shown = ", ".join(f"{quote}{name}{quote}" for name in names[:_MOST_NAMED])
    more = len(names) - _MOST_NAMED
    return f"{shown} and {more} more" if more > 0 else shown


def duration_text(seconds: float) -> str:
    """Return a time as the shop file writes it: "2 h 15 min", "1 min 30 s", "45 s"."""
    if seconds < 0:
        return f"-{duration_text(-seconds)}"
    whole = round(seconds)
    terms = [(whole // 3600, "h"), (whole % 3600 // 60, "min"), (whole % 60, "s")]
    return " ".join(f"{count} {unit}" for count, unit in terms if count) or "0 s"
