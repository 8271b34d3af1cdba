"""Runs the command that speaks or plays a call: one at a time, without a shell, never waited for."""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

# A command that has not ended after so long is ended.
LONGEST_SECONDS = 30.0


class Speaker:
    """Speaks calls through a command; does nothing if there is none."""

    def __init__(self, command: Sequence[str]) -> None:
        self._command = tuple(command)
        self._running: subprocess.Popen[bytes] | None = None
        self._since = 0.0
        self.problem = ""

    def say(self, text: str, at_seconds: float) -> None:
        """Speak a text, unless the one before is still being spoken.

        Parameters
        ----------
        text
            The last argument of the command.
        at_seconds
            Now, on a clock that only runs forward.
        """
        if not self._command or self._busy(at_seconds):
            return
        try:
            self._running = subprocess.Popen(
                [*self._command, text],
                stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
                start_new_session=True,
            )
        except OSError as error:
            self.problem = f"The call command does not start: {error.strerror or error}."
            return
        self._since = at_seconds
        self.problem = ""

    def close(self) -> None:
        """End what is still being spoken."""
        if self._running is not None and self._running.poll() is None:
            self._end(self._running)

    def _busy(self, at_seconds: float) -> bool:
        running = self._running
        if running is None:
            return False
        if running.poll() is None:
            if at_seconds - self._since < LONGEST_SECONDS:
                return True
            self._end(running)
        elif running.returncode:
            self.problem = f"The call command ended with status {running.returncode}."
        self._running = None
        return False

    def _end(self, running: subprocess.Popen[bytes]) -> None:
        # The command may be a script that has started others: its whole session goes.
        with contextlib.suppress(OSError):
            if hasattr(os, "killpg"):
                os.killpg(running.pid, signal.SIGTERM)
            else:
                running.terminate()
        with contextlib.suppress(subprocess.TimeoutExpired):
            running.wait(timeout=0.5)
