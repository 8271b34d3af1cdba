"""Whether there are hands for the work, and breaks that lie where they can be taken."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from floorboard.shop.calendar import stretches
from floorboard.shop.findings import Finding, Path, SoundParts, duration_text
from floorboard.shop.shop import WEEKDAYS, Person, Skill, Stretch

if TYPE_CHECKING:
    from collections.abc import Iterator

    from floorboard.shop.mixes import Mix
    from floorboard.shop.pieces import Piece

# Three weeks of a calendar without clock changes: the middle one has whole weeks on both sides.
_MONDAY = dt.datetime(2024, 1, 1, tzinfo=dt.UTC)
_WEEK = dt.timedelta(weeks=1)

_SKILL_OF_WORK: dict[str, Skill] = {"ready": "ready", "demold": "demold"}


def people_findings(sound: SoundParts) -> Iterator[Finding]:
    """Yield breaks outside shifts, skills nobody has, and tasks longer than anyone's stretch."""
    for key, person in sound.people.items():
        yield from _breaks_outside(("people", key), person)
    if "people" in sound.whole:
        yield from _no_hands(sound)


def longest_stretch_seconds(person: Person) -> float:
    """Seconds of the longest time between breaks in a person's week."""
    free = stretches(person, "UTC", _MONDAY, _MONDAY + 3 * _WEEK)
    return max(((end - start).total_seconds() for start, end in free), default=0.0)


def _breaks_outside(path: Path, person: Person) -> Iterator[Finding]:
    without = person.model_copy(update={"breaks": ()})
    shifts = stretches(without, "UTC", _MONDAY, _MONDAY + 3 * _WEEK)
    usual_days = Stretch.model_fields["days"].default
    for index, pause in enumerate(person.breaks):
        outside = []
        for day in pause.days:
            date = (_MONDAY + _WEEK + dt.timedelta(days=day)).date()
            start = dt.datetime.combine(date, pause.start, dt.UTC)
            end = dt.datetime.combine(date, pause.end, dt.UTC)
            end += dt.timedelta(days=1) if end <= start else dt.timedelta(0)
            if not any(begin <= start and end <= finish for begin, finish in shifts):
                outside.append(day)
        # Days left as they come by default may well be more than the person works.
        if outside and (pause.days != usual_days or len(outside) == len(pause.days)):
            days = " ".join(WEEKDAYS[day] for day in outside)
            yield Finding(
                (*path, "breaks", index),
                f"a break {pause.start:%H:%M}-{pause.end:%H:%M} outside every shift on {days}",
                "breaks inside shifts",
                "Mend its days or times; the days are those on which it starts.",
            )


def _no_hands(sound: SoundParts) -> Iterator[Finding]:
    longest: dict[Skill, tuple[float, str]] = {}
    known: dict[tuple[object, object], float] = {}
    for key, person in sound.people.items():
        pattern = (person.shifts, person.breaks)
        if pattern not in known:
            known[pattern] = longest_stretch_seconds(person)
        seconds = known[pattern]
        for skill in person.skills:
            longest[skill] = max(longest.get(skill, (-1.0, "")), (seconds, key))
    lacking: dict[Skill, str] = {}
    for key, piece in sound.pieces.items():
        for path, skill, seconds in _hands_on(("pieces", key), piece, sound):
            if skill not in longest:
                lacking.setdefault(skill, key)
            elif seconds > longest[skill][0]:
                yield Finding(
                    path,
                    f"{duration_text(seconds)} of hands-on work at a stretch",
                    f"at most {duration_text(longest[skill][0])}, the longest time between "
                    f"breaks of anyone with the skill '{skill}' ('{longest[skill][1]}')",
                    "Split the work, or move a break.",
                )
    for skill, key in lacking.items():
        yield Finding(
            ("people",),
            f"nobody with the skill '{skill}'",
            f"someone with it, since the piece '{key}' needs it",
            f"Add '{skill}' to a person's skills.",
        )


def _hands_on(path: Path, piece: Piece, sound: SoundParts) -> Iterator[tuple[Path, Skill, float]]:
    """Yield each hands-on task of a piece: its path, the skill it takes, its seconds."""
    for work, skill in _SKILL_OF_WORK.items():
        yield (*path, work), skill, float(getattr(piece, work))
    for index, layer in enumerate(piece.layers):
        mix: Mix | None = sound.mixes.get(layer.mix)
        making = mix.making_seconds if mix else 0.0
        yield (*path, "layers", index, "apply"), "layer", making + layer.apply
    for index, step in enumerate(piece.route):
        if not step.passive:
            yield (*path, "route", index, "takes"), "finish", float(step.takes)
