"""The browser server: a PIN page, a station page, the board's page and its socket."""

from __future__ import annotations

import asyncio
import logging
import shlex
import time
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

import aiohttp_jinja2
import jinja2
from aiohttp import WSMsgType, web
from textual_serve.server import Server

from floorboard.serve.gates import header_writer, host_gate
from floorboard.serve.hosts import HostRules, machine_names
from floorboard.serve.page_messages import LONGEST_MESSAGE_BYTES, read_message, size_within_limits
from floorboard.serve.places import Places, is_place_token
from floorboard.serve.sessions import SERVER_FULL, SessionKey, Sessions, SessionsFullError
from floorboard.serve.settings import ServeSettings, is_this_machine
from floorboard.serve.sign_in import SignIn

if TYPE_CHECKING:
    from collections.abc import Callable

    from floorboard.serve.passes import Pass

log = logging.getLogger("floorboard.serve")

_FOLDER = Path(__file__).parent
_LARGEST_BODY_BYTES = 8 * 1024
_LEFT_CODES = frozenset({1000, 1001, 1005})
"""Close codes of a page that went on purpose: closed, reloaded, moved on."""
FULL_SENTENCE = (
    "As many boards are open as are allowed. Close one elsewhere; this page tries again."
)


class BoardServer(Server):
    """Serves the board to browsers that know the PIN.

    Parameters
    ----------
    settings
        Checked already.
    places
        The folder for the views of tabs.
    wall_clock, steady_clock
        Seconds since 1970, and monotonic seconds; passed in by tests.
    """

    def __init__(
        self,
        settings: ServeSettings,
        places: Places,
        *,
        wall_clock: Callable[[], float] = time.time,
        steady_clock: Callable[[], float] = time.monotonic,
    ) -> None:
        super().__init__(
            shlex.join(settings.argv),
            host=settings.host,
            port=settings.port,
            title=settings.title,
            public_url=settings.public_url,
            templates_path=_FOLDER / "templates",
        )
        self.settings = settings
        self.places = places
        self.sessions = Sessions(settings, places, self.download_manager)
        names = {"localhost"} if is_this_machine(settings.host) else {"localhost", *machine_names()}
        self.hosts = HostRules(frozenset({*names, settings.host.casefold()}), settings.public_url)
        self.sign_in = SignIn(settings, self.hosts, wall_clock, steady_clock)
        self.sign_in.on_signed_out = self.sessions.end_pass
        self._wall_clock = wall_clock

    async def application(self) -> web.Application:
        """Make the web application."""
        return await self._make_app()

    async def _make_app(self) -> web.Application:
        app = web.Application(
            middlewares=[host_gate(self.hosts)], client_max_size=_LARGEST_BODY_BYTES
        )
        aiohttp_jinja2.setup(app, loader=jinja2.FileSystemLoader(self.templates_path))
        app.add_routes(
            [
                web.get("/", self.handle_index),
                web.get("/ws", self.handle_websocket),
                web.get("/standing", self.handle_standing),
                web.get("/download/{key}", self.handle_download),
                web.static("/static", self.statics_path, show_index=False),
                web.static("/page", _FOLDER / "page", show_index=False),
                *self.sign_in.routes(),
            ]
        )
        app.on_response_prepare.append(header_writer(self.hosts))
        app.on_shutdown.append(self.on_shutdown)
        return app

    async def on_shutdown(self, app: web.Application) -> None:  # noqa: ARG002
        """End every board before the server goes."""
        await self.sessions.end_all()

    async def handle_index(self, request: web.Request) -> web.StreamResponse:
        """Show the board's page, or the page that must come before it."""
        holder = self.sign_in.holder(request)
        if holder is None or holder.station is None:
            return self.sign_in.send_on(request, holder)
        if self.sessions.is_full_for(holder.pass_id):
            response = aiohttp_jinja2.render_template(
                "notice.html", request, {"title": self.title, "sentence": FULL_SENTENCE}, status=503
            )
            response.headers["Retry-After"] = "10"
            return response
        context = {
            "title": self.title,
            "station": holder.station,
            "asks_pin": self.settings.pin is not None,
        }
        return aiohttp_jinja2.render_template("board.html", request, context)

    async def handle_standing(self, request: web.Request) -> web.StreamResponse:
        """Tell a page that lost its socket whether it may open it again."""
        holder = self.sign_in.holder(request)
        signed_in = holder is not None and holder.station is not None
        return web.json_response({"signed_in": signed_in}, status=200 if signed_in else 401)

    async def handle_websocket(self, request: web.Request) -> web.WebSocketResponse:
        """Show the board over a socket, to a signed-in page of this server only."""
        if not self.hosts.origin_allowed(request.headers.get("Origin"), request.host):
            log.warning("A page of another address tried to open the board's socket.")
            raise web.HTTPForbidden(text="Only the board's own page opens its socket.\n")
        holder = self.sign_in.holder(request)
        if holder is None or holder.station is None:
            raise web.HTTPUnauthorized(text="Sign in first.\n")
        place = request.query.get("place", "")
        if not is_place_token(place):
            raise web.HTTPBadRequest(text="The page must say which tab it is.\n")
        socket = web.WebSocketResponse(heartbeat=15, max_msg_size=LONGEST_MESSAGE_BYTES)
        await socket.prepare(request)
        loop = asyncio.get_running_loop()
        expiry = loop.call_later(
            max(0.0, holder.expires_at - self._wall_clock()),
            lambda: loop.create_task(self.sessions.end_pass(holder.pass_id)),
        )
        try:
            await self._show_board(request, socket, SessionKey(holder.pass_id, place), holder)
        finally:
            expiry.cancel()
        return socket

    async def _show_board(
        self, request: web.Request, socket: web.WebSocketResponse, key: SessionKey, holder: Pass
    ) -> None:
        size = size_within_limits(request.query.get("width"), request.query.get("height"))
        try:
            session = await self.sessions.claim(key, holder, socket, request.transport, size)
        except SessionsFullError:
            await socket.close(code=SERVER_FULL, message=FULL_SENTENCE.encode())
            return
        except OSError as error:
            log.error("The board's command could not be started: %s.", error)
            await socket.close(code=1011, message=b"The board could not be started.")
            return
        log.info("A board is shown at station %r to %s.", holder.station, request.remote)
        try:
            async for frame in socket:
                message = read_message(frame.data) if frame.type is WSMsgType.TEXT else None
                if message is not None:
                    await session.act(message, socket)
        finally:
            self.sessions.leave(session, socket, lost=socket.close_code not in _LEFT_CODES)

    async def handle_download(self, request: web.Request) -> web.StreamResponse:
        """Send a file that the board of this very browser offers."""
        holder = self.sign_in.holder(request)
        if holder is None:
            raise web.HTTPUnauthorized(text="Sign in first.\n")
        key = request.match_info["key"]
        try:
            offered = await self.download_manager.get_download_metadata(key)
        except KeyError:
            offered = None
        if offered is None or self._owner(offered) != holder.pass_id:
            raise web.HTTPNotFound(text="There is no such file, or it was taken already.\n")
        response = web.StreamResponse()
        response.content_type = "application/octet-stream"
        # Always saved, never shown: a shown page would act with the board's own rights.
        name = quote(offered.file_name, safe="")
        response.headers["Content-Disposition"] = f"attachment; filename*=UTF-8''{name}"
        await response.prepare(request)
        async for chunk in self.download_manager.download(key):
            await response.write(chunk)
        await response.write_eof()
        return response

    def _owner(self, offered: Any) -> str | None:
        return self.sessions.owner_of(offered.app_service.app_service_id)
