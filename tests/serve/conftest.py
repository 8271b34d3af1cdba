"""A server with the small board behind it, and a browser's half of the conversation."""

from __future__ import annotations

import asyncio
import os
import secrets
import sys
from collections.abc import AsyncIterator, Callable
from pathlib import Path
from typing import Any

import aiohttp
import pytest
from aiohttp.test_utils import TestClient, TestServer

from floorboard.serve.places import Places
from floorboard.serve.server import BoardServer
from floorboard.serve.settings import settle

PIN = "plaster-27"
BOARD_COMMAND = [sys.executable, "-m", "tests.serve.dummy_board"]
PATIENCE_SECONDS = 20.0


class SettableClock:
    """Seconds that pass only when told."""

    def __init__(self, now: float) -> None:
        self.now = now

    def __call__(self) -> float:
        return self.now


class Shop:
    """A served board and one browser."""

    def __init__(self, server: BoardServer, client: TestClient[Any, Any]) -> None:
        self.server = server
        self.client = client
        self.wall: SettableClock = server._wall_clock  # type: ignore[assignment]
        self.steady: SettableClock = server.sign_in._steady_clock  # type: ignore[assignment]

    @property
    def origin(self) -> str:
        return str(self.client.make_url("")).rstrip("/")

    async def post(self, path: str, **form: str) -> aiohttp.ClientResponse:
        return await self.client.post(
            path, data=form, headers={"Origin": self.origin}, allow_redirects=False
        )

    async def sign_in(self, station: str = "Bench 1") -> None:
        if self.server.settings.pin is not None:
            assert (await self.post("/sign-in", pin=PIN)).status == 303
        else:
            await self.client.get("/", allow_redirects=False)
        assert (await self.post("/station", typed=station)).status == 303

    async def open_board(
        self, place: str | None = None, **headers: str
    ) -> aiohttp.ClientWebSocketResponse:
        place = place or secrets.token_hex(16)
        return await self.client.ws_connect(
            f"/ws?width=80&height=24&place={place}",
            headers={"Origin": self.origin, **headers},
            autoclose=False,
        )


async def seen(socket: aiohttp.ClientWebSocketResponse, wanted: str) -> str:
    """Read what the board draws until it holds a text; return all of it."""
    shown = ""
    async with asyncio.timeout(PATIENCE_SECONDS):
        while wanted not in shown:
            frame = await socket.receive()
            assert frame.type in {aiohttp.WSMsgType.BINARY, aiohttp.WSMsgType.TEXT}, frame
            if frame.type is aiohttp.WSMsgType.BINARY:
                shown += frame.data.decode("utf-8", "replace")
    return shown


async def closing_code(socket: aiohttp.ClientWebSocketResponse) -> int | None:
    """Read on until the server closes the socket; return the code it gave."""
    async with asyncio.timeout(PATIENCE_SECONDS):
        while True:
            frame = await socket.receive()
            if frame.type is aiohttp.WSMsgType.CLOSE:
                await socket.close()
                return int(frame.data)
            if frame.type in {aiohttp.WSMsgType.CLOSED, aiohttp.WSMsgType.ERROR}:
                return socket.close_code


@pytest.fixture(autouse=True)
def processes_of_this_tree(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Let servers and boards import this tree, and leave nothing behind when they are killed."""
    monkeypatch.setenv("TMPDIR", str(tmp_path))
    root = str(Path(__file__).resolve().parents[2])
    monkeypatch.setenv("PYTHONPATH", os.pathsep.join([root, os.environ.get("PYTHONPATH", "")]))


@pytest.fixture
async def open_shop(tmp_path: Path) -> AsyncIterator[Callable[..., Any]]:
    clients: list[TestClient[Any, Any]] = []

    async def open_one(**options: Any) -> Shop:
        options.setdefault("pin", PIN)
        options.setdefault("state_folder", tmp_path)
        options.setdefault("hold_left_seconds", 0)
        settings = settle(options.pop("command", BOARD_COMMAND), **options)
        server = BoardServer(
            settings,
            Places(tmp_path),
            wall_clock=SettableClock(1_700_000_000.0),
            steady_clock=SettableClock(1000.0),
        )
        client = TestClient(
            TestServer(await server.application()), cookie_jar=aiohttp.CookieJar(unsafe=True)
        )
        await client.start_server()
        clients.append(client)
        return Shop(server, client)

    yield open_one
    for client in clients:
        await client.close()
