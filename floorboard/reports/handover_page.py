"""The handover note as one HTML page to print or to hang up: nothing fetched, no script."""

from __future__ import annotations

from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from floorboard.reports.page import rendered
from floorboard.usecases.handover_text import counts_sentence, moment_words, sections

if TYPE_CHECKING:
    from floorboard.usecases.handover import Handover


def handover_page(note: Handover, paper: str = "A4") -> str:
    """Return the page."""
    local = note.as_of.astimezone(ZoneInfo(note.zone))
    return rendered(
        "handover.html.j2",
        note=note,
        paper=paper,
        when=f"{local:%A} {local.day} {local:%B %Y, %H:%M}",
        counts=counts_sentence(note),
        sections=sections(note),
        moment=lambda value: moment_words(value, note),
    )
