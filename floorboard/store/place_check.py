"""Whether the database file is still the one that was opened.

SQLite keeps writing to a file that was deleted or replaced under it, where nobody will ever read
it. Two looks at the folder before an entry is acknowledged tell that.
"""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from floorboard.store.errors import DatabaseGone

if TYPE_CHECKING:
    from pathlib import Path


class PlaceCheck:
    """Remembers which files a database consisted of when it was opened.

    Whoever may write keeps the write-ahead log from going; a reader (`with_log` False) may see it
    go with the last writer.
    """

    def __init__(self, path: Path, *, with_log: bool) -> None:
        # Plain text: a Path is turned into it anew at every look.
        self._path = str(path)
        self._with_log = with_log
        self._database = _identity(self._path)
        self._log_path = f"{path}-wal"
        self._log: tuple[int, int] | None = None

    def check(self) -> None:
        """Look again.

        Raises
        ------
        DatabaseGone
            If the database or its write-ahead log is not the file it was.
        """
        log = _identity(self._log_path) if self._with_log else None
        if self._log is None:
            self._log = log
        if _identity(self._path) != self._database or log != self._log:
            raise DatabaseGone(
                f"{self._path} was moved, deleted or replaced while it was in use. Nothing more is "
                "logged. Close every board, put the file back or restore a backup, and open again."
            )


def _identity(path: str) -> tuple[int, int] | None:
    try:
        found = os.stat(path)
    except FileNotFoundError:
        return None
    return found.st_dev, found.st_ino
