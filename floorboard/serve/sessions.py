"""The boards open in browsers: at most so many, each waiting a while for a page that went."""

from __future__ import annotations

import asyncio
import contextlib
import logging
from typing import TYPE_CHECKING, NamedTuple

from floorboard.serve.board_process import BoardProcess
from floorboard.serve.page_messages import Focus, Keys, PageMessage, Ping, Size

if TYPE_CHECKING:
    from collections.abc import Coroutine

    from aiohttp import web
    from textual_serve.download_manager import DownloadManager

    from floorboard.serve.passes import Pass
    from floorboard.serve.places import Places
    from floorboard.serve.settings import ServeSettings

log = logging.getLogger("floorboard.serve")

CLOSED_BY_USER = 4000
"""The board was left with its own key: the page offers to open it again."""
BOARD_DIED = 4001
"""The board process ended otherwise: the page opens it again by itself."""
SHOWN_ELSEWHERE = 4002
"""The same tab's token was used again: the page takes a new one."""
SIGNED_OUT = 4003
SERVER_FULL = 4004
SERVER_STOPS = 1012

# What the driver of a new board tells the terminal first; a page that finds a running board
# again must be told by the server.
TERMINAL_MODES = b"\x1b[?1049h\x1b[?1000h\x1b[?1003h\x1b[?1015h\x1b[?1006h\x1b[?25l\x1b[?2004h"
_RESET_TERMINAL = b"\x1bc"
_SEND_SECONDS = 10.0


class SessionKey(NamedTuple):
    """Which tab of which signed-in browser."""

    pass_id: str
    place: str


class SessionsFullError(Exception):
    """As many boards are open as are allowed."""


class BoardSession:
    """One board process and the page that shows it, if one does at the moment."""

    def __init__(self, key: SessionKey) -> None:
        self.key = key
        self.process: BoardProcess | None = None
        self.socket: web.WebSocketResponse | None = None
        self.ending: asyncio.TimerHandle | None = None
        self.over = False
        self.changing_page = asyncio.Lock()
        self._transport: asyncio.Transport | None = None

    async def show_output(self, data: bytes) -> None:
        """Send what the board drew to its page; without one it is let go."""
        socket = self.socket
        if socket is None:
            return
        try:
            async with asyncio.timeout(_SEND_SECONDS):
                await socket.send_bytes(data)
        except (TimeoutError, ConnectionError):
            self.drop(socket)

    async def show_text(self, text: str) -> None:
        """Send a message to the page, if there is one."""
        if self.socket is not None:
            with contextlib.suppress(ConnectionError):
                await self.socket.send_str(text)

    def drop(self, socket: web.WebSocketResponse) -> None:
        """Cut a connection that takes nothing any more."""
        if self.socket is socket:
            self.socket = None
            if self._transport is not None:
                self._transport.abort()

    def attach(self, socket: web.WebSocketResponse, transport: asyncio.Transport | None) -> None:
        """Show the board on this page from now on."""
        if self.ending is not None:
            self.ending.cancel()
            self.ending = None
        self.socket, self._transport = socket, transport

    async def act(self, message: PageMessage, socket: web.WebSocketResponse) -> None:
        """Do what the page asks; a page that no longer shows this board is not heard."""
        if self.socket is not socket or self.process is None:
            return
        match message:
            case Keys(data):
                await self.process.send_bytes(data)
            case Size(columns, rows):
                await self.process.set_terminal_size(columns, rows)
            case Ping(mark):
                await socket.send_json(["pong", mark])
            case Focus(gained):
                await (self.process.focus() if gained else self.process.blur())


class Sessions:
    """All open boards, by tab."""

    def __init__(
        self, settings: ServeSettings, places: Places, download_manager: DownloadManager
    ) -> None:
        self._settings = settings
        self._places = places
        self._download_manager = download_manager
        self._open: dict[SessionKey, BoardSession] = {}
        self._tasks: set[asyncio.Task[None]] = set()

    def is_full_for(self, pass_id: str) -> bool:
        """Tell whether a browser with this pass would be turned away for want of room."""
        if any(key.pass_id == pass_id for key in self._open):
            return False
        shown = sum(session.socket is not None for session in self._open.values())
        return shown >= self._settings.max_sessions

    def owner_of(self, app_service_id: str) -> str | None:
        """Return the pass of the browser whose board has this id."""
        for key, session in self._open.items():
            if session.process is not None and session.process.app_service_id == app_service_id:
                return key.pass_id
        return None

    async def claim(
        self,
        key: SessionKey,
        holder: Pass,
        socket: web.WebSocketResponse,
        transport: asyncio.Transport | None,
        size: Size,
    ) -> BoardSession:
        """Show a tab its board: the one still running for it, or a new one.

        Raises
        ------
        SessionsFullError
            There is no room for another.
        OSError
            The board's command cannot be started.
        """
        while True:
            session = self._open.get(key)
            if session is None:
                self._make_room()
                session = self._open[key] = BoardSession(key)
            async with session.changing_page:
                if session.over:
                    continue
                if session.process is None:
                    await self._start(session, holder, socket, transport, size)
                else:
                    await self._show_again(session, socket, transport, size)
                return session

    async def _start(
        self,
        session: BoardSession,
        holder: Pass,
        socket: web.WebSocketResponse,
        transport: asyncio.Transport | None,
        size: Size,
    ) -> None:
        session.attach(socket, transport)
        try:
            # A page that saw an earlier board still has that one's modes and picture.
            await socket.send_bytes(_RESET_TERMINAL)
            process = self._new_process(session, holder)
            await process.start(size.columns, size.rows)
        except BaseException:
            self._forget(session)
            raise
        session.process = process

    async def _show_again(
        self,
        session: BoardSession,
        socket: web.WebSocketResponse,
        transport: asyncio.Transport | None,
        size: Size,
    ) -> None:
        old, session.socket = session.socket, None
        if old is not None:
            # The old connection may be dead without knowing it, so it is not waited for.
            self._spawn(_close(old, SHOWN_ELSEWHERE, "This board was opened in another tab."))
        await socket.send_bytes(_RESET_TERMINAL + TERMINAL_MODES)
        session.attach(socket, transport)
        if session.process is not None:
            await session.process.show_whole(size.columns, size.rows)

    def _new_process(self, session: BoardSession, holder: Pass) -> BoardProcess:
        place = session.key.place
        environment = {
            "FLOORBOARD_STATION": holder.station or "",
            "FLOORBOARD_RESUME": str(self._places.file_of(place)),
            "FLOORBOARD_VIEW": self._places.view_of(place) or "",
        }

        async def on_end(clean: bool) -> None:
            self._forget(session)
            if session.socket is not None:
                code = CLOSED_BY_USER if clean else BOARD_DIED
                self._spawn(_close(session.socket, code, "The board has ended."))

        return BoardProcess(
            self._settings.argv,
            environment,
            on_output=session.show_output,
            on_text=session.show_text,
            on_end=on_end,
            download_manager=self._download_manager,
        )

    def _make_room(self) -> None:
        """End the board that has waited longest for its page, if every place is taken."""
        if len(self._open) < self._settings.max_sessions:
            return
        for session in self._open.values():
            if session.socket is None and session.ending is not None:
                self._end_soon(session)
                return
        raise SessionsFullError

    def leave(self, session: BoardSession, socket: web.WebSocketResponse, *, lost: bool) -> None:
        """Let a board wait for a page that went; a lost one is waited for longer than a left one."""
        if session.over or session.ending is not None:
            return
        if session.socket is not None and session.socket is not socket:
            return
        session.socket = None
        wait = self._settings.hold_lost_seconds if lost else self._settings.hold_left_seconds
        loop = asyncio.get_running_loop()
        session.ending = loop.call_later(wait, self._end_soon, session)
        # Last to leave is last to be ended for want of room.
        if self._open.get(session.key) is session:
            self._open[session.key] = self._open.pop(session.key)

    async def end_pass(self, pass_id: str, code: int = SIGNED_OUT) -> None:
        """End every board of one browser."""
        await self._end([s for s in self._open.values() if s.key.pass_id == pass_id], code)

    async def end_all(self) -> None:
        """End every board, and what is still ending."""
        await self._end(list(self._open.values()), SERVER_STOPS)
        while self._tasks:
            await asyncio.wait(set(self._tasks))

    async def _end(self, sessions: list[BoardSession], code: int) -> None:
        ended = []
        for session in sessions:
            if session.socket is not None:
                socket, session.socket = session.socket, None
                self._spawn(_close(socket, code, "The board has ended."))
            ended += [task] if (task := self._end_soon(session)) is not None else []
        if ended:
            await asyncio.wait(ended)

    def _end_soon(self, session: BoardSession) -> asyncio.Task[None] | None:
        self._forget(session)
        return None if session.process is None else self._spawn(session.process.stop())

    def _forget(self, session: BoardSession) -> None:
        session.over = True
        if session.ending is not None:
            session.ending.cancel()
        if self._open.get(session.key) is session:
            del self._open[session.key]

    def _spawn(self, work: Coroutine[None, None, None]) -> asyncio.Task[None]:
        task = asyncio.create_task(work)
        self._tasks.add(task)
        task.add_done_callback(self._tasks.discard)
        return task


async def _close(socket: web.WebSocketResponse, code: int, reason: str) -> None:
    with contextlib.suppress(ConnectionError, RuntimeError):
        await socket.close(code=code, message=reason.encode())
