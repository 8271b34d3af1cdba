"""Beside the board: a check of the database after the first frame, and backups as time goes by.

Backups are made by a process of their own at low priority, so that checking years of log does not
slow a key press.
"""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

SETTLE_SECONDS = 2.0
LOOK_EVERY_SECONDS = 300.0
BACKUP_HOURS = 4.0
_NICE = 15


class StoreWatch:
    """Looks after the database while a board is open; use it in a `with` block.

    Parameters
    ----------
    tell
        Takes a sentence to show. Called from a thread of the watch's own.
    """

    def __init__(
        self,
        database: Path,
        tell: Callable[[str], None],
        *,
        settle_seconds: float = SETTLE_SECONDS,
        backup_hours: float = BACKUP_HOURS,
    ) -> None:
        self._database = database
        self._tell = tell
        self._settle_seconds = settle_seconds
        self._backup_hours = backup_hours
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._watch, name="store-watch", daemon=True)
        self._backup: subprocess.Popen[str] | None = None

    def __enter__(self) -> StoreWatch:
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._over.set()
        backup = self._backup
        if backup is not None and backup.poll() is None:
            backup.terminate()
        # It may be in the midst of a check, which is no reason to hold up whoever quits.
        self._thread.join(timeout=1.0)

    def _watch(self) -> None:
        if self._over.wait(self._settle_seconds):
            return
        self._check()
        told = ""
        while not self._over.is_set():
            said = self._back_up()
            # The same trouble is told once, not every few minutes.
            if said and said != told:
                self._tell(said)
            told = said
            self._over.wait(LOOK_EVERY_SECONDS)

    def _check(self) -> None:
        from floorboard.store.verify import quick_check

        found = quick_check(self._database)
        if found:
            self._tell(
                f"The database is damaged: {found[0]} Close every board, then bring the newest "
                "backup back with: floorboard restore"
            )

    def _back_up(self) -> str:
        """Back up if it is time; return what went wrong, "" if nothing did."""
        command = [
            *(sys.executable, "-m", "floorboard", "backup", "--json"),
            *("--database", str(self._database), "--if-older", str(self._backup_hours)),
        ]
        self._backup = subprocess.Popen(
            command,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            text=True,
        )
        _lower_priority(self._backup.pid)
        _, errors = self._backup.communicate()
        if self._over.is_set() or self._backup.returncode == 0:
            return ""
        last = errors.strip().splitlines()[-1] if errors.strip() else "no reason was given."
        return f"No backup was made: {last}"


def _lower_priority(pid: int) -> None:
    if hasattr(os, "setpriority"):
        try:
            os.setpriority(os.PRIO_PROCESS, pid, _NICE)
        except OSError:
            # It has ended already, or may not be slowed; either way it does its work.
            return
