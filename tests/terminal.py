"""A real command in a pseudo-terminal of its own session, as a terminal window would start it."""

from __future__ import annotations

import fcntl
import os
import pty
import select
import signal
import struct
import subprocess
import sys
import termios
import time
from pathlib import Path
from typing import TYPE_CHECKING

import psutil

if TYPE_CHECKING:
    from collections.abc import Sequence

DEADLINE_SECONDS = 60.0
LEFT_THE_ALTERNATE_SCREEN = b"\x1b[?1049l"
SHOWED_THE_CURSOR = b"\x1b[?25h"
MOUSE_OFF = b"\x1b[?1000l"


class Terminal:
    """Runs `python ARGUMENTS`; what it shows is gathered in `shown` as it is read."""

    def __init__(
        self,
        arguments: Sequence[str],
        *,
        ignore_hangup: bool = False,
        size: tuple[int, int] = (100, 30),
        **environment: str,
    ) -> None:
        self.screen, inside = pty.openpty()
        fcntl.ioctl(inside, termios.TIOCSWINSZ, struct.pack("HHHH", size[1], size[0], 0, 0))
        self.before = termios.tcgetattr(inside)

        def start() -> None:
            os.setsid()
            fcntl.ioctl(0, termios.TIOCSCTTY, 0)
            if ignore_hangup:
                signal.signal(signal.SIGHUP, signal.SIG_IGN)

        self.process = subprocess.Popen(
            [sys.executable, *arguments],
            stdin=inside,
            stdout=inside,
            stderr=inside,
            preexec_fn=start,
            env={**os.environ, "TERM": "xterm-256color", **environment},
        )
        self.inside = inside
        self.shown = b""

    def read_until(self, wanted: bytes | None) -> None:
        """Read until something is shown; with None, until the program has ended."""
        deadline = time.monotonic() + DEADLINE_SECONDS
        seen_from = max(0, len(self.shown) - 100)
        while wanted is None or wanted not in self.shown[seen_from:]:
            assert time.monotonic() < deadline, f"never showed {wanted!r}: {self.shown[-500:]!r}"
            if not self.read_more() and self.process.poll() is not None:
                assert wanted is None, f"ended before it showed {wanted!r}: {self.shown[-500:]!r}"
                return

    def read_more(self) -> bool:
        """Read what has come meanwhile, or comes within a moment; return whether anything did."""
        ready, _, _ = select.select([self.screen], [], [], 0.1)
        if ready:
            self.shown += os.read(self.screen, 65536)
        return bool(ready)

    def press(self, keys: bytes) -> None:
        """Type keys."""
        os.write(self.screen, keys)

    def family(self) -> list[psutil.Process]:
        """Return the program and every process it started."""
        process = psutil.Process(self.process.pid)
        return [process, *process.children(recursive=True)]

    @property
    def as_before(self) -> bool:
        """Whether the terminal's own settings (echo, line mode) are as they were at the start."""
        return termios.tcgetattr(self.inside) == self.before

    def hang_up(self) -> None:
        """Close the terminal window."""
        if self.screen >= 0:
            os.close(self.inside)
            os.close(self.screen)
            self.screen = -1

    def close(self) -> None:
        """End whatever is left."""
        self.hang_up()
        if self.process.poll() is None:
            self.process.kill()
        self.process.wait()


def holders_of(path: Path) -> list[int]:
    """Return the processes that have a database, its log or its index open."""
    found = []
    for process in psutil.process_iter(["pid"]):
        try:
            files = os.listdir(f"/proc/{process.pid}/fd")
            open_files = {os.path.realpath(f"/proc/{process.pid}/fd/{file}") for file in files}
        except OSError:
            continue
        if any(name.startswith(str(path.resolve())) for name in open_files):
            found.append(process.pid)
    return found
