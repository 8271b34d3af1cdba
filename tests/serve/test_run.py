"""The server as a process of its own: where it says it is, and how it and its boards end."""

from __future__ import annotations

import asyncio
import re
import secrets
import select
import signal
import socket
import subprocess
import sys
from collections.abc import AsyncIterator
from typing import Any

import aiohttp
import psutil
import pytest

from floorboard.serve.run import lan_addresses, serve_board, where_to_open
from floorboard.serve.settings import ServeRefusedError, settle
from tests.serve.conftest import BOARD_COMMAND, PATIENCE_SECONDS, PIN, seen

SERVER = (
    "import sys; from floorboard.serve.run import serve_board;"
    "serve_board(command=sys.argv[1:], port=0, announce=lambda said: print(said, flush=True))"
)


class RunningServer:
    """A server process with one board open in it."""

    def __init__(self, *, ignore_hangup: bool = False) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-c", SERVER, *BOARD_COMMAND],
            stdout=subprocess.PIPE,
            text=True,
            preexec_fn=(lambda: signal.signal(signal.SIGHUP, signal.SIG_IGN) and None)
            if ignore_hangup
            else None,
        )
        assert self.process.stdout is not None
        ready, _, _ = select.select([self.process.stdout], [], [], PATIENCE_SECONDS)
        assert ready, "the server never said where it is"
        found = re.search(r"http://\S+:\d+", self.process.stdout.readline())
        assert found is not None
        self.url = found[0]
        self.session: Any = None
        self.board: Any = None

    async def open_board(self) -> psutil.Process:
        self.session = aiohttp.ClientSession(cookie_jar=aiohttp.CookieJar(unsafe=True))
        await self.session.get(self.url, allow_redirects=False)
        self.board = await self.session.ws_connect(
            f"{self.url}/ws?place={secrets.token_hex(16)}", headers={"Origin": self.url}
        )
        await seen(self.board, "COUNT=0=")
        (board,) = psutil.Process(self.process.pid).children()
        return board

    async def close(self) -> None:
        if self.session is not None:
            await self.session.close()
        if self.process.poll() is None:
            self.process.kill()
        self.process.wait()
        assert self.process.stdout is not None
        self.process.stdout.close()


@pytest.fixture
async def running() -> AsyncIterator[list[RunningServer]]:
    servers: list[RunningServer] = []
    yield servers
    for server in servers:
        await server.close()


async def wait_gone(board: psutil.Process) -> None:
    await asyncio.to_thread(board.wait, PATIENCE_SECONDS)


async def test_no_board_outlives_a_server_that_was_killed(running: list[RunningServer]) -> None:
    running.append(server := RunningServer())
    board = await server.open_board()
    server.process.kill()
    await wait_gone(board)


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP, signal.SIGINT])
async def test_a_server_told_to_stop_ends_its_boards_and_itself(
    number: signal.Signals, running: list[RunningServer]
) -> None:
    running.append(server := RunningServer())
    board = await server.open_board()
    server.process.send_signal(number)
    await wait_gone(board)
    assert await asyncio.to_thread(server.process.wait, PATIENCE_SECONDS) == 0


async def test_a_server_started_to_outlive_its_terminal_does(running: list[RunningServer]) -> None:
    running.append(server := RunningServer(ignore_hangup=True))
    await server.open_board()
    server.process.send_signal(signal.SIGHUP)
    await server.board.send_str('["stdin", "+"]')
    await seen(server.board, "COUNT=1=")


def test_a_port_in_use_is_said_in_a_sentence() -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        with pytest.raises(ServeRefusedError, match="Choose another port"):
            serve_board(command="board", port=taken.getsockname()[1])


def test_a_folder_that_cannot_be_made_is_said_in_a_sentence(tmp_path: Any) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(ServeRefusedError, match="cannot be made"):
        serve_board(command="board", state_folder=tmp_path / "file" / "folder")


def test_the_server_says_where_it_is_and_what_it_does_not_protect() -> None:
    local = where_to_open(settle("board"), 8000)
    assert local[0] == "The board is at http://127.0.0.1:8000."
    assert "Only this machine can open it." in local
    lan = " ".join(where_to_open(settle("board", host="0.0.0.0", pin=PIN), 8000))
    assert all(f"http://{address}:8000" in lan for address in lan_addresses())
    assert "not encrypted" in lan
    proxied = " ".join(
        where_to_open(settle("board", public_url="https://board.example", pin=PIN), 8000)
    )
    assert "https://board.example" in proxied
    assert "not encrypted" not in proxied
    assert PIN not in lan + proxied
