"""The file in which faults of the program itself are written down, so that they can be mended.

A fault is not a refusal: it is something nobody foresaw. The board says so in a sentence, goes on,
and leaves what a programmer needs in this file.
"""

from __future__ import annotations

import os
import traceback
from typing import TYPE_CHECKING

from floorboard import __version__

if TYPE_CHECKING:
    import datetime as dt
    from pathlib import Path

# A fault that comes back every second must not fill the disk.
LARGEST_BYTES = 500_000
LONGEST_FAULT = 20_000


class FaultLog:
    """Writes faults to one file; when that has grown large, it starts anew and keeps the last."""

    def __init__(self, path: Path | None) -> None:
        self.path = path

    def note(self, doing: str, error: BaseException, at: dt.datetime) -> str:
        """Write a fault down and return a sentence that says where.

        Parameters
        ----------
        doing
            What the program was about, such as "drawing up a plan".
        at
            When it was, aware.
        """
        if self.path is None:
            return f"The fault was a {type(error).__name__}."
        lines = "".join(traceback.format_exception(error))[-LONGEST_FAULT:]
        head = f"{at:%Y-%m-%d %H:%M:%S %Z}, floorboard {__version__}, while {doing}:"
        try:
            self._write(f"{head}\n{_harmless(lines)}\n")
        except OSError as unwritten:
            why = unwritten.strerror or type(unwritten).__name__
            return f"Details could not be written to {self.path}: {why}."
        return f"Details are in {self.path}."

    def _write(self, text: str) -> None:
        assert self.path is not None
        self.path.parent.mkdir(parents=True, exist_ok=True)
        if self.path.exists() and self.path.stat().st_size > LARGEST_BYTES:
            self.path.replace(self.path.with_suffix(".old.log"))
        # Names and notes of the shop may stand in it: for its owner's eyes only.
        descriptor = os.open(self.path, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
        with os.fdopen(descriptor, "w", encoding="utf-8", errors="backslashreplace") as file:
            file.write(text)


def _harmless(text: str) -> str:
    """Return the text with every control character but the line's end written out."""
    return "".join(
        character
        if character == "\n" or character.isprintable()
        else character.encode("unicode_escape").decode("ascii")
        for character in text
    )
