"""How long a served board takes to its first frame and from key to frame. Printed, never asserted.

Our server and the one it is built on show the same small board in one run, so that the machine
counts for nothing and the ratio tells what the checks cost.

Run: python -m benchmarks.serve
"""

from __future__ import annotations

import asyncio
import secrets
import shlex
import statistics
import sys
import tempfile
import time
from pathlib import Path
from typing import TYPE_CHECKING

import aiohttp
from aiohttp.test_utils import TestServer
from textual_serve.server import Server

from floorboard.serve.places import Places
from floorboard.serve.server import BoardServer
from floorboard.serve.settings import settle

if TYPE_CHECKING:
    from aiohttp import web

OPENINGS = 7
KEYS = 60
BOARD = """
from textual.app import App
from textual.widgets import Static
from floorboard.screens.endings import install_endings
class Board(App):
    count = 0
    def compose(self):
        yield Static("READY")
    def on_mount(self):
        install_endings(self)
    def on_key(self):
        self.count += 1
        self.query_one(Static).update(f"KEY-{self.count}-")
Board().run()
"""


async def until(socket: aiohttp.ClientWebSocketResponse, wanted: bytes) -> None:
    """Read frames until one holds a text."""
    async for frame in socket:
        if frame.type is aiohttp.WSMsgType.BINARY and wanted in frame.data:
            return


async def measure(app: web.Application) -> tuple[list[float], list[float]]:
    """Return the times to the first frame and from key to frame, in milliseconds."""
    openings, keys = [], []
    async with (
        TestServer(app) as server,
        aiohttp.ClientSession(cookie_jar=aiohttp.CookieJar(unsafe=True)) as browser,
    ):
        url = str(server.make_url("")).rstrip("/")
        await browser.get(f"{url}/")
        for opening in range(OPENINGS):
            start = time.perf_counter()
            address = f"{url}/ws?width=120&height=40&place={secrets.token_hex(16)}"
            async with browser.ws_connect(address, headers={"Origin": url}) as socket:
                await until(socket, b"READY")
                openings.append((time.perf_counter() - start) * 1000)
                for number in range(1, KEYS + 1) if opening == 0 else ():
                    start = time.perf_counter()
                    await socket.send_str('["stdin", "x"]')
                    await until(socket, f"KEY-{number}-".encode())
                    keys.append((time.perf_counter() - start) * 1000)
    return openings, keys


def row(name: str, spans: list[float]) -> str:
    """Return a line of figures: median, 95th percentile and largest."""
    ordered = sorted(spans)
    p95 = ordered[min(len(ordered) - 1, round(0.95 * len(ordered)))]
    return f"{name:<34}{statistics.median(spans):8.1f}{p95:8.1f}{ordered[-1]:8.1f}"


async def main() -> None:
    """Measure both servers and print the figures."""
    command = [sys.executable, "-c", BOARD]
    with tempfile.TemporaryDirectory() as folder:
        ours = BoardServer(settle(command, hold_left_seconds=0), Places(Path(folder)))
        our_openings, our_keys = await measure(await ours.application())
        stock = Server(shlex.join(command))
        stock_openings, stock_keys = await measure(await stock._make_app())  # noqa: SLF001
    print(f"{'milliseconds':<34}{'p50':>8}{'p95':>8}{'max':>8}")
    print(row("socket to first frame, ours", our_openings))
    print(row("socket to first frame, stock", stock_openings))
    print(row("key to frame, ours", our_keys))
    print(row("key to frame, stock", stock_keys))
    first = statistics.median(our_openings) / statistics.median(stock_openings)
    key = statistics.median(our_keys) / statistics.median(stock_keys)
    print(f"ratio ours / stock: first frame {first:.2f}, key {key:.2f}")


if __name__ == "__main__":
    asyncio.run(main())
