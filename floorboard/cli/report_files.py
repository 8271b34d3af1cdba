"""Tallies and tickets written as files, in the folder the board was started in."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING

from floorboard.usecases.report_port import ReportNotWritten

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from floorboard.mixing.ticket import Ticket
    from floorboard.mixing.weight_text import Units
    from floorboard.records.tally_model import Tally
    from floorboard.usecases.ports import Store

# The page's weight charts look back so many days.
CHART_DAYS = 90
# More files of one name than anyone saves by hand in a day.
MOST_OF_A_NAME = 1000


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of file: what it is in words, how its name ends, and what makes its bytes."""

    words: str
    suffix: str
    made: Callable[[Tally, Store | None], bytes]


def _csv(tally: Tally, _: Store | None) -> bytes:
    from floorboard.reports.tally_csv import tally_csv

    # Spreadsheets take a CSV file for UTF-8 only with this mark in front.
    return tally_csv(tally).encode("utf-8-sig")


def _json(tally: Tally, _: Store | None) -> bytes:
    return tally.model_dump_json(indent=2).encode()


def _text(tally: Tally, _: Store | None) -> bytes:
    from floorboard.usecases.tally_text import tally_lines

    return "\n".join((*tally_lines(tally), "")).encode()


def _page(tally: Tally, store: Store | None) -> bytes:
    """The page, with the weight charts of the days before if there is a store to read them from."""
    from floorboard.reports.day_page import day_page
    from floorboard.usecases.quality import take_quality

    shop = store.shop() if store is not None else None
    if store is None or shop is None:
        return day_page(tally).encode()
    begin = tally.last_day - dt.timedelta(days=CHART_DAYS)
    with store.history() as history:
        quality = take_quality(history, shop, begin, tally.last_day)
    return day_page(tally, quality, shop.shop.units).encode()


def _workbook(tally: Tally, _: Store | None) -> bytes:
    from floorboard.reports.tally_xlsx import tally_xlsx

    return tally_xlsx(tally)


KINDS: dict[str, Kind] = {
    "csv": Kind("CSV, a line a count, for a sheet", ".csv", _csv),
    "text": Kind("Text, as the command prints it", ".txt", _text),
    "json": Kind("JSON, everything there is", ".json", _json),
    "page": Kind("A page to print, one sheet", ".html", _page),
    "workbook": Kind("A workbook for the office (XLSX)", ".xlsx", _workbook),
}


class ReportFiles:
    """See `floorboard.usecases.report_port.Reports`."""

    def __init__(self, folder: Path, store: Store | None = None) -> None:
        self.folder, self._store = folder, store

    def kinds(self) -> list[tuple[str, str]]:
        """Return the kinds there are: a short name, and what it is in words."""
        return [(key, kind.words) for key, kind in KINDS.items()]

    def print_ticket(self, ticket: Ticket, units: Units, name: str) -> Path:
        """Write a ticket as a page to print, and return the file's full path.

        Raises
        ------
        ReportNotWritten
            If the folder cannot be written to.
        """
        from floorboard.reports.ticket_html import ticket_html

        content = ticket_html(ticket, units).encode()
        return self._write(
            lambda number: f"ticket-{name}{'' if number == 1 else f'-{number}'}.html", content
        )

    def save(self, kind: str, tally: Tally) -> Path:
        """Write a tally and return the file's full path. A file that is there stays as it is.

        Raises
        ------
        ReportNotWritten
            If the folder cannot be written to.
        """
        made = KINDS[kind]
        return self._write(
            lambda number: f"{file_stem(tally, number)}{made.suffix}", made.made(tally, self._store)
        )

    def _write(self, name: Callable[[int], str], content: bytes) -> Path:
        for number in range(1, MOST_OF_A_NAME):
            path = self.folder / name(number)
            try:
                with path.open("xb") as file:
                    file.write(content)
            except FileExistsError:
                continue
            except OSError as error:
                raise ReportNotWritten(
                    f"{path} cannot be written: {error.strerror}. Start the board in a folder "
                    "you can write to."
                ) from error
            return path.resolve()
        raise ReportNotWritten(f"{self.folder} is full of files of this name. Move some away.")


def file_stem(tally: Tally, number: int) -> str:
    """Return a file's name without its ending: the days or the order, and a number from 2 on."""
    if tally.order is not None:
        stem = f"tally-order-{tally.order}"
    elif tally.first_day == tally.last_day:
        stem = f"tally-{tally.first_day}"
    else:
        stem = f"tally-{tally.first_day}-to-{tally.last_day}"
    return stem if number == 1 else f"{stem}-{number}"
