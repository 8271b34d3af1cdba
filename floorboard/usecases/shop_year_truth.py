"""What a simulated shop itself knows it did: the truth that reports are held against."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    import datetime as dt

Stand = Literal["not begun", "in progress", "good", "scrapped"]


@dataclass(slots=True)
class CastingTruth:
    """One casting: how it stood from when on, and what was done to it."""

    serial: str
    piece: str
    mold: str
    begun_by: str
    stands: list[tuple[dt.datetime, Stand]] = field(default_factory=list)
    demolded_at: dt.datetime | None = None
    sealed: list[dt.datetime] = field(default_factory=list)
    packed: list[dt.datetime] = field(default_factory=list)
    reason: str | None = None
    sent_back: list[tuple[dt.datetime, str]] = field(default_factory=list)

    @property
    def begun_at(self) -> dt.datetime:
        """When it was begun."""
        return self.stands[0][0]

    def stand_at(self, moment: dt.datetime) -> Stand:
        """Return how it stood at a moment, not counting what happened then or later."""
        found: Stand = "not begun"
        for since, stand in self.stands:
            if since < moment:
                found = stand
        return found


@dataclass(slots=True)
class Truth:
    """All castings, and the hands-on seconds of each task by its person and its end."""

    castings: dict[str, CastingTruth] = field(default_factory=dict)
    tasks: list[tuple[dt.datetime, str, float]] = field(default_factory=list)
    weights: list[tuple[dt.datetime, str, float]] = field(default_factory=list)

    def counts(
        self, start: dt.datetime, end: dt.datetime, piece: str | None = None
    ) -> Counter[str]:
        """Return the counts of `[start, end)`, of one piece or of all."""
        found: Counter[str] = Counter()
        for casting in self.castings.values():
            if piece is not None and casting.piece != piece:
                continue
            before, after = casting.stand_at(start), casting.stand_at(end)
            found["begun"] += before == "not begun" != after
            found["carried_in"] += before == "in progress"
            found["brought_back"] += before == "good" != after
            found["good"] += after == "good" != before
            found["scrapped"] += after == "scrapped" != before
            found["carried_over"] += after == "in progress"
            found["demolded"] += _within(casting.demolded_at, start, end)
            found["sealed"] += any(_within(at, start, end) for at in casting.sealed)
            found["packed"] += any(_within(at, start, end) for at in casting.packed)
            found["sent_back"] += sum(_within(at, start, end) for at, _ in casting.sent_back)
        return found

    def reasons(self, start: dt.datetime, end: dt.datetime) -> dict[str, tuple[int, int]]:
        """Return castings rejected and times sent back in `[start, end)`, by reason."""
        rejected: Counter[str] = Counter()
        back: Counter[str] = Counter()
        for casting in self.castings.values():
            if casting.stand_at(end) == "scrapped" != casting.stand_at(start):
                rejected[casting.reason or ""] += 1
            back.update(reason for at, reason in casting.sent_back if _within(at, start, end))
        return {key: (rejected[key], back[key]) for key in rejected.keys() | back.keys()}

    def hands_seconds(self, start: dt.datetime, end: dt.datetime) -> dict[str, float]:
        """Return hands-on seconds by person, of the tasks that ended in `[start, end)`."""
        found: dict[str, float] = {}
        for at, person, seconds in self.tasks:
            if _within(at, start, end):
                found[person] = found.get(person, 0.0) + seconds
        return found


def _within(moment: dt.datetime | None, start: dt.datetime, end: dt.datetime) -> bool:
    return moment is not None and start <= moment < end
