"""The board's endings, tried on real processes in a pseudo-terminal."""

from __future__ import annotations

import os
import pty
import select
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

BOARD = """
import pathlib, sys
from textual.app import App
from textual.widgets import Static
from floorboard.screens.endings import install_endings

class Board(App):
    def compose(self):
        yield Static("READY")
    def on_mount(self):
        install_endings(self, last_resort_seconds=float(sys.argv[2]))
        self.set_interval(0.02, lambda: self.query_one(Static).refresh())
    def on_unmount(self):
        pathlib.Path(sys.argv[1]).write_text("unmounted")

app = Board()
app.run()
sys.exit(app.return_code or 0)
"""
STUCK = """
import os, sys, time
from textual.app import App
from floorboard.screens.endings import install_endings

class Board(App):
    def on_mount(self):
        install_endings(self, last_resort_seconds=float(sys.argv[2]))
        self.set_timer(0.01, self.hang)
    def hang(self):
        os.write(1, b"READY")
        time.sleep(600)

Board().run()
"""
DEADLINE_SECONDS = 30.0


class Terminal:
    """One board in a pseudo-terminal of its own session, as a terminal window would start it."""

    def __init__(self, program: str, mark: Path, last_resort: str, *, ignore_hangup: bool) -> None:
        self.screen, inside = pty.openpty()
        self.mark = mark

        def start() -> None:
            os.setsid()
            import fcntl
            import termios

            fcntl.ioctl(0, termios.TIOCSCTTY, 0)
            if ignore_hangup:
                signal.signal(signal.SIGHUP, signal.SIG_IGN)

        self.process = subprocess.Popen(
            [sys.executable, "-c", program, str(mark), last_resort],
            stdin=inside,
            stdout=inside,
            stderr=inside,
            preexec_fn=start,
            env={**os.environ, "TERM": "xterm-256color"},
        )
        os.close(inside)
        self.shown = b""
        self.read_until(b"READY")

    def read_until(self, wanted: bytes | None) -> None:
        while wanted is None or wanted not in self.shown:
            ready, _, _ = select.select([self.screen], [], [], DEADLINE_SECONDS)
            assert ready, f"the board never showed {wanted!r}"
            try:
                data = os.read(self.screen, 65536)
            except OSError:
                data = b""
            if not data:
                assert wanted is None, f"the board ended before it showed {wanted!r}"
                return
            self.shown += data

    def close(self) -> None:
        if self.screen >= 0:
            os.close(self.screen)
            self.screen = -1


@pytest.fixture
def opened(tmp_path: Path) -> Iterator[list[Terminal]]:
    terminals: list[Terminal] = []
    yield terminals
    for terminal in terminals:
        terminal.close()
        if terminal.process.poll() is None:
            terminal.process.kill()
        terminal.process.wait()


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP])
def test_a_signal_leaves_the_terminal_clean_and_the_status_zero(
    number: signal.Signals, opened: list[Terminal], tmp_path: Path
) -> None:
    board = Terminal(BOARD, tmp_path / "mark", "20", ignore_hangup=False)
    opened.append(board)
    board.process.send_signal(number)
    board.read_until(None)
    assert board.process.wait(DEADLINE_SECONDS) == 0
    assert board.shown.rindex(b"\x1b[?1049l") > board.shown.rindex(b"READY")
    assert b"\x1b[?25h" in board.shown
    assert board.mark.read_text() == "unmounted"


@pytest.mark.parametrize("ignored", [False, True], ids=["hangup heard", "hangup ignored"])
def test_a_closed_terminal_ends_the_board(
    ignored: bool, opened: list[Terminal], tmp_path: Path
) -> None:
    board = Terminal(BOARD, tmp_path / "mark", "20", ignore_hangup=ignored)
    opened.append(board)
    board.close()
    # A board that went on reading its ended input would not end at all.
    assert board.process.wait(DEADLINE_SECONDS) == 0
    assert board.mark.read_text() == "unmounted"


def test_a_board_too_stuck_to_leave_is_cut_off(opened: list[Terminal], tmp_path: Path) -> None:
    board = Terminal(STUCK, tmp_path / "mark", "0.2", ignore_hangup=True)
    opened.append(board)
    board.close()
    assert board.process.wait(DEADLINE_SECONDS) == 129
