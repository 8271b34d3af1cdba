"""What people call the shop's entries: an id or a name."""

from __future__ import annotations

import difflib
from typing import TYPE_CHECKING, Any

from floorboard.shop.errors import FloorboardError

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

# How alike two names must be for one to be a slip of the other, of 1; a name of a few letters is
# another name with one letter changed.
_ALIKE, _ALIKE_SHORT = 0.8, 0.66
_SHORT = 4


class AmbiguousName(FloorboardError):
    """A name that two of the shop's entries go by."""


def key_called(entries: Mapping[str, Any], said: str) -> str:
    """Return the id of the entry that has this id or this name, capitals or not.

    What is no one's is returned as it was said, for whoever asked to refuse in their own words.

    Raises
    ------
    AmbiguousName
        If several entries go by it; naming their ids.
    """
    if said in entries:
        return said
    wanted = " ".join(said.split()).casefold()
    found = [
        key
        for key, entry in entries.items()
        if wanted in {key.casefold(), " ".join((entry.name or "").split()).casefold()}
    ]
    if len(found) > 1:
        raise AmbiguousName(f"{said} could be any of {', '.join(found)}. Say which by its id.")
    return found[0] if found else said


def keys_called(entries: Mapping[str, Any], said: Iterable[tuple[str, float]]) -> dict[str, float]:
    """Return numbers given by name, such as percentages of additives, by id."""
    return {key_called(entries, name): number for name, number in said}


def near_name(said: str, known: Iterable[str]) -> str | None:
    """Return the known name that `said` seems to be a slip of, if one does."""
    alike = _ALIKE_SHORT if len(said) <= _SHORT else _ALIKE
    return next(iter(difflib.get_close_matches(said, list(known), n=1, cutoff=alike)), None)
