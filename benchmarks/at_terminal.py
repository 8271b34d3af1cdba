"""The real program in a real terminal multiplexer, driven by keys and read as a person reads it."""

from __future__ import annotations

import itertools
import os
import re
import shlex
import subprocess
import time
from dataclasses import dataclass
from typing import TYPE_CHECKING, Self

from floorboard.screens.block_digits import block_rows

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

COLUMNS, ROWS = 120, 40
PATIENCE_SECONDS = 30.0
LOOK_EVERY_SECONDS = 0.1
# The panel whose confirm key it is says so in its first line: a bar, the name, what is counted.
_HEAD = re.compile(r"^▌ (?P<name>[^,]+?)(?:, (?P<counts>[a-z ]+?))?\s*(?:Enter: (?P<key>.+?))?\s*$")
_GLYPHS = {tuple(block_rows(char)): char for char in "0123456789:+hd"}

_NUMBERS = itertools.count(1)


@dataclass(frozen=True, slots=True)
class Panel:
    """A person's panel as it is read: whose, what is counted and to how much, the key, the task."""

    name: str
    counts: str
    seconds: float | None
    key: str
    task: str


class AtTerminal:
    """A program in a terminal of its own."""

    def __init__(self, name: str, command: Sequence[str]) -> None:
        # A server that is still ending answers to its name and takes no new session.
        self._name = f"{name}-{next(_NUMBERS)}"
        environment = {**os.environ, "TERM": "xterm-256color", "COLORTERM": "truecolor"}
        environment.pop("NO_COLOR", None)
        self._tmux("new-session", "-d", "-x", str(COLUMNS), "-y", str(ROWS),
                   shlex.join(command), environment=environment)  # fmt: skip

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self._tmux("kill-server", check=False)

    def _tmux(
        self, *words: str, check: bool = True, environment: dict[str, str] | None = None
    ) -> str:
        # A server of its own, with nobody's settings.
        command = ["tmux", "-f", "/dev/null", "-L", self._name, *words]
        done = subprocess.run(command, check=check, capture_output=True, text=True, env=environment)
        return done.stdout

    def process(self) -> int:
        """Return the id of the program's process."""
        return int(self._tmux("list-panes", "-F", "#{pane_pid}"))

    def press(self, *keys: str) -> None:
        """Press keys, each by itself as a hand does; a text is typed."""
        for key in keys:
            self._tmux("send-keys", key)
            time.sleep(LOOK_EVERY_SECONDS)

    def type(self, text: str) -> None:
        """Type a text."""
        self._tmux("send-keys", "-l", text)
        time.sleep(LOOK_EVERY_SECONDS)

    def screen(self) -> list[str]:
        """Return the lines on the screen."""
        lines = self._tmux("capture-pane", "-p", check=False).splitlines()
        return [line.ljust(COLUMNS) for line in lines] + [""] * (ROWS - len(lines))

    def wait_for(self, seen: Callable[[list[str]], bool]) -> list[str]:
        """Wait until the screen is as wanted, and return it.

        Raises
        ------
        TimeoutError
            With the screen as it stood instead.
        """
        until = time.monotonic() + PATIENCE_SECONDS
        while not seen(lines := self.screen()):
            if time.monotonic() > until:
                raise TimeoutError("It never came; instead:\n" + "\n".join(lines))
            time.sleep(LOOK_EVERY_SECONDS)
        return lines


def panels(lines: list[str]) -> list[Panel]:
    """Read the panels of a floor screen that shows two side by side."""
    half = COLUMNS // 2
    return [
        panel
        for at in (0, half)
        if (panel := _panel([line[at : at + half] for line in lines[1:12]]))
    ]


def _panel(lines: list[str]) -> Panel | None:
    head = _HEAD.match(lines[0].rstrip()) if lines else None
    if head is None:
        return None
    digits = read_digits([line[2:] for line in lines[1:4]])
    blocks = re.compile(r"^[▀▄█ ]*")
    task = " ".join(blocks.sub("", line[2:]).strip() for line in lines[1:4]).strip()
    seconds = in_seconds(digits)
    return Panel(head["name"], head["counts"] or "", seconds, head["key"] or "", task)


def read_digits(rows: Sequence[str]) -> str:
    """Read a number in block digits, as far as it goes."""
    read, at = "", 0
    while at < max(map(len, rows)):
        for glyph, char in _GLYPHS.items():
            width = len(glyph[0])
            if tuple(row[at : at + width].ljust(width) for row in rows) == glyph:
                read, at = read + char, at + width + 1
                break
        else:
            break
    return read


def in_seconds(shown: str) -> float | None:
    """Return the seconds a count stands for: "12:34", "1h05", "2d4h"; None if it is none."""
    numbers = [int(part) for part in re.findall(r"\d+", shown)]
    if len(numbers) != 2:
        return None
    unit = 60 if ":" in shown else 3600 if "h" in shown and "d" not in shown else 86400
    rest = {60: 1, 3600: 60, 86400: 3600}[unit]
    return float(numbers[0] * unit + numbers[1] * rest)
