"""The small files in which boards keep the view they show, one for each browser tab."""

from __future__ import annotations

import hashlib
import re
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

MOST_PLACES = 200
_TOKEN = re.compile(r"[0-9a-f]{32}")
_VIEW_NAME = re.compile(r"[a-z][a-z0-9_-]{0,39}")
_LONGEST_READ = 64


def is_place_token(text: str) -> bool:
    """Tell whether a text is a tab's token: 32 lower-case hexadecimal digits."""
    return _TOKEN.fullmatch(text) is not None


class Places:
    """Finds the file of a place. The folder must exist; it holds nothing else."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def file_of(self, place: str) -> Path:
        """Return the file for a tab's token. Its name is a digest, so no token makes a path."""
        return self._folder / f"{hashlib.sha256(place.encode()).hexdigest()[:32]}.view"

    def view_of(self, place: str) -> str | None:
        """Return the view the tab last showed, None if unknown."""
        try:
            with self.file_of(place).open(encoding="ascii") as stream:
                view = stream.read(_LONGEST_READ)
        except (OSError, ValueError):
            return None
        return view if _VIEW_NAME.fullmatch(view) else None

    def forget_oldest(self) -> None:
        """Drop all but the 200 places used last."""
        aged = []
        for file in self._folder.glob("*.view"):
            try:
                aged.append((file.stat().st_mtime, file))
            except FileNotFoundError:
                continue
        for _, file in sorted(aged)[:-MOST_PLACES]:
            file.unlink(missing_ok=True)
