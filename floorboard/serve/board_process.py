"""One board process, started without a shell and ended for certain."""

from __future__ import annotations

import asyncio
import contextlib
import json
import logging
import os
import signal
from typing import TYPE_CHECKING, Literal
from urllib.parse import urlsplit

from textual_serve.app_service import AppService

if TYPE_CHECKING:
    from asyncio.subprocess import Process
    from collections.abc import Awaitable, Callable, Mapping, Sequence

    from textual_serve.download_manager import DownloadManager

log = logging.getLogger("floorboard.serve")

KEPT_FROM_BOARD = frozenset({"FLOORBOARD_PIN"})
"""Environment variables of the server that no board process is given."""
_PRELUDE = b"__GANGLION__\n"
_MOST_PRELUDE_LINES = 10
_LARGEST_PACKET_BYTES = 64 * 1024 * 1024
_KEPT_ERROR_BYTES = 8 * 1024
_QUIT_SECONDS = 3.0
_TERMINATE_SECONDS = 2.0
_ERROR_SECONDS = 1.0
_KILL = getattr(signal, "SIGKILL", signal.SIGTERM)


class BoardProcess(AppService):
    """A board's process and the packets to and from it.

    Parameters
    ----------
    argv
        The command line.
    environment
        Variables set for this board besides the server's own.
    on_output
        Given the bytes for the terminal, as they come.
    on_text
        Given a message for the page.
    on_end
        Called once, with True if the board left by itself with status 0.
    """

    def __init__(
        self,
        argv: Sequence[str],
        environment: Mapping[str, str],
        *,
        on_output: Callable[[bytes], Awaitable[None]],
        on_text: Callable[[str], Awaitable[None]],
        on_end: Callable[[bool], Awaitable[None]],
        download_manager: DownloadManager,
    ) -> None:
        super().__init__(
            "",
            write_bytes=on_output,
            write_str=on_text,
            close=_nothing,
            download_manager=download_manager,
        )
        self._argv = tuple(argv)
        self._environment = dict(environment)
        self._on_end = on_end
        self._stopping = False

    @property
    def pid(self) -> int:
        """The process's number; it must have been started."""
        assert self._process is not None
        return self._process.pid

    def _build_environment(self, width: int = 80, height: int = 24) -> dict[str, str]:
        built = super()._build_environment(width, height)
        kept = {name: text for name, text in built.items() if name not in KEPT_FROM_BOARD}
        return {**kept, **self._environment}

    async def _open_app_process(self, width: int = 80, height: int = 24) -> Process:
        # A session of its own: an interrupt typed at the server's terminal reaches the server
        # alone, which then ends its boards one by one, and a board's helpers end with it.
        process = await asyncio.create_subprocess_exec(
            *self._argv,
            stdin=asyncio.subprocess.PIPE,
            stdout=asyncio.subprocess.PIPE,
            stderr=asyncio.subprocess.PIPE,
            env=self._build_environment(width, height),
            start_new_session=True,
        )
        assert process.stdin is not None
        self._process = process
        self._stdin = process.stdin
        return process

    async def run(self) -> None:
        """Pass the board's packets on until it ends."""
        process = self._process
        assert process is not None
        errors = asyncio.create_task(self._keep_last_errors(process))
        try:
            await self._pass_packets_on(process)
        except (asyncio.IncompleteReadError, ConnectionError):
            pass
        except (ValueError, KeyError, TypeError):
            log.exception("The board sent what cannot be read, and is ended.")
        finally:
            status = await self._status_at_end(process)
            said = await _result_soon(errors)
            if status != 0 and not self._stopping:
                log.warning("The board process %s ended with status %s. %s", self.pid, status, said)
            await self._on_end(status == 0)

    async def _pass_packets_on(self, process: Process) -> None:
        stdout = process.stdout
        assert stdout is not None
        for _ in range(_MOST_PRELUDE_LINES):
            line = await stdout.readline()
            if line == _PRELUDE:
                break
            if not line:
                return
        else:
            log.error("What was started is not a board: it does not speak the browser's language.")
            return
        while True:
            kind = await stdout.readexactly(1)
            size = int.from_bytes(await stdout.readexactly(4), "big")
            if size > _LARGEST_PACKET_BYTES:
                log.error("The board sent a packet of %s bytes and is ended.", size)
                return
            payload = await stdout.readexactly(size)
            if kind == b"D":
                await self.on_data(payload)
            elif kind == b"M":
                await self.on_meta(payload)
            elif kind == b"P":
                await self.on_packed(payload)

    async def on_meta(self, data: bytes) -> None:
        """Handle a message of the board's driver; only web addresses may be opened."""
        if b'"open_url"' in data:
            message = json.loads(data)
            if urlsplit(str(message.get("url"))).scheme not in {"http", "https"}:
                return
        await super().on_meta(data)

    async def send_bytes(self, data: bytes) -> bool:
        """Send key presses; False if the board has ended."""
        return await self._send(b"D", data)

    async def _send(self, kind: Literal[b"D", b"M"], data: bytes) -> bool:
        if self.stdin.is_closing():
            return False
        self.stdin.write(self.encode_packet(kind, data))
        try:
            await self.stdin.drain()
        except ConnectionError:
            return False
        return True

    async def show_whole(self, width: int, height: int) -> None:
        """Have a running board draw all of itself at a size, in character cells."""
        await self.set_terminal_size(width, height)
        number = getattr(signal, "SIGWINCH", None)
        if number is not None and self._process is not None and self._process.returncode is None:
            # To a board still starting the signal means nothing; it draws all of itself anyway.
            self._process.send_signal(number)

    async def stop(self) -> None:
        """End the board: ask it, then terminate it, then kill it."""
        task, process = self._task, self._process
        if task is None or process is None:
            return
        self._stopping = True
        await self._download_manager.cancel_app_downloads(app_service_id=self.app_service_id)
        if not task.done():
            await self.send_meta({"type": "quit"})
            await asyncio.wait({task}, timeout=_QUIT_SECONDS)
        for number, seconds in ((signal.SIGTERM, _TERMINATE_SECONDS), (_KILL, None)):
            if task.done():
                break
            self._signal_group(number)
            await asyncio.wait({task}, timeout=seconds)
        await task

    async def _status_at_end(self, process: Process) -> int:
        """Wait for a board that has nothing more to show, and do not wait for ever."""
        self.stdin.close()
        try:
            status = await asyncio.wait_for(process.wait(), _QUIT_SECONDS)
        except TimeoutError:
            self._signal_group(_KILL)
            status = await process.wait()
        # A board that was killed could not end what it had started itself.
        self._signal_group(_KILL)
        return status

    def _signal_group(self, number: int) -> None:
        with contextlib.suppress(ProcessLookupError, PermissionError):
            if hasattr(os, "killpg"):
                os.killpg(self.pid, number)
            elif self._process is not None:
                self._process.send_signal(number)

    @staticmethod
    async def _keep_last_errors(process: Process) -> bytes:
        assert process.stderr is not None
        kept = b""
        while data := await process.stderr.read(4096):
            kept = (kept + data)[-_KEPT_ERROR_BYTES:]
        return kept


async def _result_soon(errors: asyncio.Task[bytes]) -> str:
    """Return what was kept of the error output, even if something still holds it open."""
    await asyncio.wait({errors}, timeout=_ERROR_SECONDS)
    if not errors.done():
        errors.cancel()
        return ""
    return errors.result().decode("utf-8", "replace").strip()


async def _nothing() -> None:
    """Stand in for the closing of the socket, which ``on_end`` takes care of."""
