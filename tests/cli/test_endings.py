"""How the real command ends: told to, or because its terminal, its machine or itself gave way."""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Iterator
from pathlib import Path

import psutil
import pytest

from floorboard.screens.confirm_gate import LOOK_FIRST
from tests.board_run import session_on
from tests.terminal import (
    DEADLINE_SECONDS,
    LEFT_THE_ALTERNATE_SCREEN,
    MOUSE_OFF,
    SHOWED_THE_CURSOR,
    Terminal,
    holders_of,
)


@pytest.fixture
def database(tmp_path: Path) -> Path:
    path = tmp_path / "floor.db"
    with session_on(path):
        pass
    return path


@pytest.fixture
def opened() -> Iterator[list[Terminal]]:
    terminals: list[Terminal] = []
    yield terminals
    for terminal in terminals:
        terminal.close()


def start(arguments: list[str], folder: Path, opened: list[Terminal], **more: bool) -> Terminal:
    """Start a program that keeps whatever it keeps in a folder of the test's own."""
    kept = ("XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_CACHE_HOME", "XDG_CONFIG_HOME")
    homes = {name: str(folder / name) for name in kept}
    terminal = Terminal(arguments, **more, **homes)
    opened.append(terminal)
    return terminal


def open_board(database: Path, opened: list[Terminal], **more: bool) -> Terminal:
    """Open the board and wait until it plans, so that every process it uses is there."""
    command = ["-m", "floorboard", "--database", str(database)]
    terminal = start(command, database.parent, opened, **more)
    terminal.read_until(b"Tiny")
    deadline = time.monotonic() + DEADLINE_SECONDS
    while not any("worker" in " ".join(p.cmdline()) for p in terminal.family()[1:]):
        assert time.monotonic() < deadline, "the process that betters plans never started"
        terminal.read_until(b"\x1b")
    return terminal


def confirm(board: Terminal) -> None:
    """Press Enter once the board takes it: what has only just come up has to be looked at first."""
    deadline = time.monotonic() + DEADLINE_SECONDS
    while board.shown.rfind(b"Enter: ") <= board.shown.rfind(LOOK_FIRST.encode()):
        assert time.monotonic() < deadline, "the board never offered anything to confirm"
        board.read_more()
    board.press(b"\r")


def gone(family: list[psutil.Process]) -> bool:
    """Return whether every process of a family ends; one that waits to be reaped has ended."""
    deadline = time.monotonic() + DEADLINE_SECONDS
    while living := [process for process in family if lives(process)]:
        if time.monotonic() > deadline:
            return False
        psutil.wait_procs(living, timeout=0.05)
    return True


def lives(process: psutil.Process) -> bool:
    """Return whether a process still runs or sleeps."""
    try:
        return process.is_running() and process.status() != psutil.STATUS_ZOMBIE
    except psutil.NoSuchProcess:
        return False


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP])
def test_a_signal_leaves_the_terminal_clean_and_nothing_behind(
    number: signal.Signals, database: Path, opened: list[Terminal]
) -> None:
    board = open_board(database, opened)
    family = board.family()
    assert holders_of(database) == [board.process.pid]
    board.process.send_signal(number)
    board.read_until(None)
    assert board.process.wait(DEADLINE_SECONDS) == 0
    assert board.as_before
    last_drawn = board.shown.rindex(b"Tiny")
    for ending in (LEFT_THE_ALTERNATE_SCREEN, SHOWED_THE_CURSOR, MOUSE_OFF):
        assert board.shown.rindex(ending) > last_drawn
    assert gone(family)
    assert holders_of(database) == []
    # A clean end leaves one file: the write-ahead log was taken into it.
    assert not Path(f"{database}-wal").exists()


@pytest.mark.parametrize("ignored", [False, True], ids=["hang-up heard", "hang-up ignored"])
def test_a_closed_terminal_ends_everything(
    ignored: bool, database: Path, opened: list[Terminal]
) -> None:
    board = open_board(database, opened, ignore_hangup=ignored)
    family = board.family()
    board.hang_up()
    assert board.process.wait(DEADLINE_SECONDS) == 0
    assert gone(family)
    assert holders_of(database) == []


def test_a_killed_board_leaves_no_process_and_a_database_that_opens_as_it_was(
    database: Path, opened: list[Terminal]
) -> None:
    board = open_board(database, opened)
    confirm(board)
    board.read_until(b"Logged")
    family = board.family()
    os.kill(board.process.pid, signal.SIGKILL)
    assert board.process.wait(DEADLINE_SECONDS) == -signal.SIGKILL
    assert gone(family)
    assert holders_of(database) == []
    with session_on(database) as (session, _):
        assert [entry.event.kind for entry in session.store.latest(9)] == [
            "casting begun",
            "shop loaded",
        ]
        assert len(session.floor.castings) == 1


STUMBLING = """
import sys
from floorboard.screens.floor_screen.floor_screen import FloorScreen

drawings, draw = [], FloorScreen.show_floor

def stumble(screen):
    drawings.append(1)
    if len(drawings) {when}:
        raise RuntimeError("a fault nobody foresaw")
    draw(screen)

FloorScreen.show_floor = stumble
sys.argv = ["floorboard", "--database", {database!r}]
from floorboard.cli.main import main
main()
"""


def faults_written(folder: Path) -> list[Path]:
    return sorted(folder.rglob("faults.log"))


def test_a_board_that_stumbles_is_opened_again_and_says_so(
    database: Path, opened: list[Terminal]
) -> None:
    program = STUMBLING.format(when="== 4", database=str(database))
    board = start(["-c", program], database.parent, opened)
    board.read_until(b"was opened again")
    confirm(board)
    board.read_until(b"Logged")
    board.press(b"q")
    board.read_until(None)
    assert board.process.wait(DEADLINE_SECONDS) == 0
    assert b"Traceback" not in board.shown
    (file,) = faults_written(database.parent)
    assert file.read_text().count("RuntimeError: a fault nobody foresaw") == 1


def test_a_board_that_cannot_be_shown_ends_with_a_sentence_and_a_clean_terminal(
    database: Path, opened: list[Terminal]
) -> None:
    program = STUMBLING.format(when=">= 4", database=str(database))
    board = start(["-c", program], database.parent, opened)
    board.read_until(None)
    assert board.process.wait(DEADLINE_SECONDS) == 1
    assert board.as_before
    after = board.shown[board.shown.rindex(LEFT_THE_ALTERNATE_SCREEN) :].decode()
    assert "The board cannot be shown: it met with a RuntimeError. Every entry is kept" in after
    assert "Traceback" not in after
    (file,) = faults_written(database.parent)
    assert str(file) in "".join(after.split("\r\n"))
    assert holders_of(database) == []
