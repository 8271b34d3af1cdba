"""The passes kept over a restart of the server, so that a power cut signs nobody out."""

from __future__ import annotations

import json
import os
from typing import TYPE_CHECKING

from floorboard.serve.passes import Pass
from floorboard.serve.pin import PinMark
from floorboard.serve.stations import StationNameError, checked_station_name

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path


class PassFile:
    """A file of passes that only its owner can read, bound to the PIN they were given for.

    With another PIN in force the passes in it count for nothing.
    """

    def __init__(self, file: Path, pin: str) -> None:
        self._file = file
        self._pin = pin
        self._mark: PinMark | None = None

    def load(self) -> list[Pass]:
        """Return the passes kept, oldest first; none if the PIN changed or the file is unusable."""
        try:
            kept = json.loads(self._file.read_text(encoding="utf-8"))
            mark = PinMark(str(kept["salt"]), str(kept["pin"]))
            passes = [_checked_pass(*row) for row in kept["passes"]]
        except (OSError, ValueError, KeyError, TypeError, OverflowError, RecursionError):
            return []
        if not mark.fits(self._pin):
            return []
        self._mark = mark
        return passes

    def save(self, passes: Iterable[Pass]) -> None:
        """Keep these passes instead of those in the file.

        Raises
        ------
        OSError
            The folder cannot be written.
        """
        # The mark is slow to make on purpose, so one serves as long as this process runs.
        mark = self._mark = self._mark or PinMark.of(self._pin)
        rows = [[kept.pass_id, kept.station, kept.expires_at] for kept in passes]
        fresh = self._file.with_name(f"{self._file.name}.new")
        descriptor = os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with os.fdopen(descriptor, "w", encoding="utf-8") as stream:
            json.dump({"salt": mark.salt, "pin": mark.digest, "passes": rows}, stream)
        fresh.replace(self._file)


def _checked_pass(pass_id: str, station: str | None, expires_at: float) -> Pass:
    try:
        name = None if station is None else checked_station_name(station)
    except StationNameError:
        name = None
    return Pass(str(pass_id), name, float(expires_at))
