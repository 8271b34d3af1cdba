"""Programs run in a pseudo-terminal, as a terminal window would run them, and timed from outside."""

from __future__ import annotations

import fcntl
import os
import pty
import select
import struct
import subprocess
import termios
import time
from pathlib import Path
from typing import TYPE_CHECKING, Self

if TYPE_CHECKING:
    from collections.abc import Sequence

TICKS_A_SECOND = os.sysconf("SC_CLK_TCK")
DEADLINE_SECONDS = 60.0
CHUNK = 1 << 16


class OnPty:
    """One program in a pseudo-terminal of a given size."""

    def __init__(self, command: Sequence[str], columns: int, rows: int) -> None:
        self._screen, inside = pty.openpty()
        fcntl.ioctl(inside, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
        environment = os.environ | {"TERM": "xterm-256color", "COLORTERM": "truecolor"}
        environment.pop("NO_COLOR", None)
        self.started = time.perf_counter()
        self._process = subprocess.Popen(
            command,
            stdin=inside,
            stdout=inside,
            stderr=inside,
            env=environment,
            start_new_session=True,
        )
        os.close(inside)
        self._seen = b""

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self._process.terminate()
        try:
            self._process.wait(timeout=5)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()
        os.close(self._screen)

    def until(self, mark: bytes) -> float:
        """Read until the program has written a mark; return the moment it was read.

        Raises
        ------
        TimeoutError
            With the end of what was written instead.
        """
        deadline = time.perf_counter() + DEADLINE_SECONDS
        while mark not in self._seen:
            left = deadline - time.perf_counter()
            if left <= 0 or not self._read(left):
                raise TimeoutError(f"{mark!r} did not come, but: {self._seen[-400:]!r}")
        return time.perf_counter()

    def drain(self, seconds: float) -> int:
        """Read for so long; return how many bytes were written meanwhile."""
        self._seen = b""
        count, end = 0, time.perf_counter() + seconds
        while (left := end - time.perf_counter()) > 0:
            self._read(left)
            count += len(self._seen)
            self._seen = b""
        return count

    def press(self, key: bytes) -> float:
        """Press a key; return the moment it was written."""
        self._seen = b""
        at = time.perf_counter()
        os.write(self._screen, key)
        return at

    def cpu_seconds(self) -> float:
        """Return the processor time the program has taken so far, its own threads included."""
        fields = Path(f"/proc/{self._process.pid}/stat").read_text().rsplit(")", 1)[1].split()
        return (int(fields[11]) + int(fields[12])) / TICKS_A_SECOND

    def _read(self, seconds: float) -> bool:
        ready, _, _ = select.select([self._screen], [], [], seconds)
        if ready:
            try:
                self._seen += os.read(self._screen, CHUNK)
            except OSError:
                return False
        return bool(ready)
