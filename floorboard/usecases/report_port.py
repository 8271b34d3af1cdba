"""What screens need to write a tally or a ticket down as a file."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from floorboard.shop.errors import FloorboardError

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from floorboard.mixing.ticket import Ticket
    from floorboard.mixing.weight_text import Units
    from floorboard.records.tally_model import Tally


class ReportNotWritten(FloorboardError):
    """The file could not be written; the sentence says why and what to do."""


class Reports(Protocol):
    """Writes tallies and tickets as files."""

    def print_ticket(self, ticket: Ticket, units: Units, name: str) -> Path:
        """Write a ticket as a page to print, and return the file's full path.

        Raises
        ------
        ReportNotWritten
            In a sentence.
        """
        ...

    def kinds(self) -> Sequence[tuple[str, str]]:
        """Return the kinds there are: a short name, and what it is in words."""
        ...

    def save(self, kind: str, tally: Tally) -> Path:
        """Write a tally and return the file's full path. A file that is there stays as it is.

        Raises
        ------
        ReportNotWritten
            In a sentence.
        """
        ...
