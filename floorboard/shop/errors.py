"""What can go wrong, told in sentences that say what to do."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence


LONGEST_KEY = 60


class FloorboardError(Exception):
    """Anything floorboard refuses to do; its text is a sentence a person can act on."""


class StoreError(FloorboardError):
    """The database cannot be read or written, or refuses what it was asked."""


class StaleFloor(StoreError):
    """Someone else logged about the same thing since the floor was last looked at."""


@dataclass(frozen=True, slots=True)
class Problem:
    """One mistake in a shop file.

    `line` counts from 1. `field` is the path as it is named in the file, list places counted
    from 1: ``pieces.lamp-base.layers[2].mix``. `expected` may be empty where `found` says it all.
    """

    file: str
    line: int
    field: str
    found: str
    expected: str

    @property
    def sentence(self) -> str:
        """The mistake in one line: where it is, what was found, what was expected."""
        where = f"{self.file}, line {self.line}"
        if self.field:
            where += f", {self.field}"
        what = f"found {self.found}" if self.found else ""
        if self.expected:
            what += f"{', ' if what else ''}expected {self.expected}"
        return f"{where}: {what}."


class ShopFileError(FloorboardError):
    """A shop file refused whole, with every mistake in it, in the order of its lines."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(problem.sentence for problem in self.problems))


def field_text(path: Sequence[str | int]) -> str:
    """Return a path as a person reads it, list places counted from 1: ``people.ana.shifts[1]``."""
    text = ""
    for key in path:
        if isinstance(key, int):
            text += f"[{key + 1}]"
        else:
            shown = key if len(key) <= LONGEST_KEY else f"{key[:LONGEST_KEY]}…"
            text += f".{shown}" if text else shown
    return text
