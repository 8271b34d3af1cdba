"""The handover note as lines of text, no wider than a terminal of 80 columns."""

from __future__ import annotations

from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from floorboard.usecases.columns import table, wrapped

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterator

    from floorboard.usecases.handover import FirstTask, Handover, MoldNote

WIDTH = 80


def moment_words(moment: dt.datetime | None, note: Handover) -> str:
    """Return a moment in the shop's zone: the time alone on the note's own day."""
    if moment is None:
        return ""
    zone = ZoneInfo(note.zone)
    local = moment.astimezone(zone)
    if local.date() == note.as_of.astimezone(zone).date():
        return f"{local:%H:%M}"
    return f"{local:%a %H:%M}"


def counts_sentence(note: Handover) -> str:
    """Return the shift's counts in a sentence."""
    return (
        f"{note.begun} begun, {note.demolded} demolded, {note.good} good, {note.scrapped} scrapped."
        + ("" if note.reconciled else " The counts do not reconcile: see the tally.")
    )


def handover_lines(note: Handover) -> Iterator[str]:
    """Yield the note for a person to read."""
    local = note.as_of.astimezone(ZoneInfo(note.zone))
    yield from wrapped(f"{note.shop}: handover, {local:%A} {local.day} {local:%B %Y %H:%M}", WIDTH)
    yield from wrapped(f"{note.shift[:1].upper()}{note.shift[1:]}: {counts_sentence(note)}", WIDTH)
    yield ""
    head = "first|from|by|planned|who"
    yield from table(head.split("|"), [_task(task, note) for task in note.first], WIDTH)
    if not note.first:
        yield "Nothing is waiting."
    yield ""
    head = "mold|casting|stands at|from|till"
    yield from table(head.split("|"), [_mold(mold, note) for mold in note.molds], WIDTH)
    if note.finishing:
        yield ""
        told = ", ".join(f"{stage} ({count})" for stage, count in note.finishing)
        yield from wrapped(f"Finishing: {told}.", WIDTH)
    for heading, sentences in sections(note):
        yield ""
        yield heading
        for sentence in sentences:
            yield from wrapped(f"  {sentence}", WIDTH, "    ")


def sections(note: Handover) -> list[tuple[str, tuple[str, ...]]]:
    """Return the note's lists of sentences under their headings, empty ones left out."""
    away = tuple(f"{person} is away." for person in note.away)
    found = [
        ("Ran short", note.short),
        ("Lost", note.lost),
        ("Orders", note.orders),
        ("Notes", (*away, *note.notes)),
    ]
    return [(heading, sentences) for heading, sentences in found if sentences]


def _task(task: FirstTask, note: Handover) -> list[str]:
    where = task.where or task.casting
    return [
        f"{task.what}: {where}, {task.piece}",
        moment_words(task.opens_at, note),
        moment_words(task.by, note),
        moment_words(task.planned_at, note),
        task.person or "",
    ]


def _mold(mold: MoldNote, note: Handover) -> list[str]:
    return [
        f"{mold.number} {mold.piece}",
        mold.casting or "",
        mold.stage if mold.casting else mold.state,
        moment_words(mold.opens_at, note),
        moment_words(mold.closes_at, note),
    ]
