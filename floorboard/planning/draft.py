"""Build a `Problem` piece by piece; every method returns the index of what it added."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TypeVar

from floorboard.planning.network import (
    Family,
    Goal,
    Group,
    Hold,
    Lag,
    Person,
    Planned,
    Problem,
    Station,
    Task,
)

Entry = TypeVar("Entry")


@dataclass(slots=True)
class Draft:
    """A network being written down. `problem()` checks and freezes it."""

    horizon: int
    now: int = 0
    goal: Goal = Goal.TIERS
    reference_slack: int = 0
    people: list[Person] = field(default_factory=list)
    stations: list[Station] = field(default_factory=list)
    families: list[Family] = field(default_factory=list)
    tasks: list[Task] = field(default_factory=list)
    lags: list[Lag] = field(default_factory=list)
    holds: list[Hold] = field(default_factory=list)
    groups: list[Group] = field(default_factory=list)
    reference: list[Planned] = field(default_factory=list)

    def person(self, entry: Person) -> int:
        """Add a person."""
        return _added(self.people, entry)

    def station(self, entry: Station) -> int:
        """Add a station."""
        return _added(self.stations, entry)

    def family(self, entry: Family) -> int:
        """Add a family of tasks that may share a set-up."""
        return _added(self.families, entry)

    def task(self, entry: Task) -> int:
        """Add a task."""
        return _added(self.tasks, entry)

    def lag(self, entry: Lag) -> int:
        """Add a wait between two tasks."""
        return _added(self.lags, entry)

    def hold(self, entry: Hold) -> int:
        """Add a hold of a station."""
        return _added(self.holds, entry)

    def group(self, entry: Group) -> int:
        """Add an all-or-nothing set of tasks."""
        return _added(self.groups, entry)

    def problem(self) -> Problem:
        """Return the checked network.

        Raises
        ------
        NetworkError
            Naming everything that is impossible in the definitions.
        """
        return Problem(
            horizon=self.horizon,
            now=self.now,
            goal=self.goal,
            reference_slack=self.reference_slack,
            people=tuple(self.people),
            stations=tuple(self.stations),
            families=tuple(self.families),
            tasks=tuple(self.tasks),
            lags=tuple(self.lags),
            holds=tuple(self.holds),
            groups=tuple(self.groups),
            reference=tuple(self.reference),
        )


def _added(entries: list[Entry], entry: Entry) -> int:
    entries.append(entry)
    return len(entries) - 1
