"""The pages before the board: the PIN, the station's name, signing out."""

from __future__ import annotations

import logging
import math
import re
from typing import TYPE_CHECKING
from urllib.parse import quote, unquote

import aiohttp_jinja2
from aiohttp import web

from floorboard.serve.attempts import Attempts
from floorboard.serve.pass_file import PassFile
from floorboard.serve.passes import Pass, Passes
from floorboard.serve.pin import PinCheck
from floorboard.serve.stations import (
    LONGEST_STATION_NAME,
    StationNameError,
    checked_station_name,
)

if TYPE_CHECKING:
    from collections.abc import Awaitable, Callable

    from floorboard.serve.hosts import HostRules
    from floorboard.serve.settings import ServeSettings

log = logging.getLogger("floorboard.serve")

_STATION_COOKIE_SECONDS = 365 * 24 * 3600
_FIRST_STATION = "This computer"


class SignIn:
    """Who may see the board, and at which station each browser stands."""

    def __init__(
        self,
        settings: ServeSettings,
        hosts: HostRules,
        wall_clock: Callable[[], float],
        steady_clock: Callable[[], float],
    ) -> None:
        self.on_signed_out: Callable[[str], Awaitable[None]] | None = None
        self._settings = settings
        self._hosts = hosts
        self._wall_clock = wall_clock
        self._steady_clock = steady_clock
        self._attempts = Attempts()
        self._passes = Passes(settings.pass_hours * 3600)
        pin = settings.pin.get_secret_value() if settings.pin is not None else None
        self._pin = PinCheck(pin) if pin is not None else None
        self._file: PassFile | None = None
        if pin is not None and settings.state_folder is not None:
            self._file = PassFile(settings.state_folder / "passes.json", pin)
            self._passes.take_up(self._file.load(), wall_clock())
        # Cookies know no ports: two boards on one machine must not take each other's.
        self._pass_cookie = f"floorboard_pass_{settings.port}"
        self._station_cookie = f"floorboard_station_{settings.port}"

    def routes(self) -> list[web.RouteDef]:
        """Return the routes of these pages."""
        return [
            web.get("/sign-in", self.show_sign_in),
            web.post("/sign-in", self.take_pin),
            web.get("/station", self.show_station),
            web.post("/station", self.take_station),
            web.post("/sign-out", self.sign_out),
        ]

    def holder(self, request: web.Request) -> Pass | None:
        """Return the pass the request's cookie stands for, None if there is none."""
        return self._passes.find(request.cookies.get(self._pass_cookie), self._wall_clock())

    def send_on(self, request: web.Request, holder: Pass | None) -> web.Response:
        """Send a browser that may not see the board yet to the page that comes next."""
        size = request.query.get("fontsize", "")
        asked = f"?fontsize={size}" if re.fullmatch("[0-9]{1,3}", size) else ""
        if holder is not None:
            return _see(f"station{asked}")
        if self._pin is not None:
            return _see(f"sign-in{asked}")
        station = self._remembered_station(request) or (*self._settings.stations, _FIRST_STATION)[0]
        response = _see(f"./{asked}")
        self._give_pass(response, station)
        return response

    async def show_sign_in(self, request: web.Request) -> web.Response:
        """Ask for the PIN."""
        if self._pin is None or self.holder(request) is not None:
            return _see("./")
        return self._sign_in_page(request)

    async def take_pin(self, request: web.Request) -> web.Response:
        """Let a browser in that sends the PIN, unless too many wrong ones came before."""
        self._refuse_foreign_page(request)
        if self._pin is None:
            return _see("./")
        address = request.remote or "unknown"
        entered = str((await request.post()).get("pin", ""))
        # From here to the count there is no await, so no two tries share one look at the lock.
        wait = self._attempts.wait_seconds(address, self._steady_clock())
        if wait > 0:
            return self._locked_page(request, wait)
        if not self._pin.matches(entered):
            self._attempts.failed(address, self._steady_clock())
            log.warning("A wrong PIN came from %s.", address)
            sentence = "That is not the PIN."
            return self._sign_in_page(request, sentence, status=403)
        self._attempts.succeeded(address)
        log.info("A browser at %s signed in.", address)
        station = self._remembered_station(request)
        response = _see("./" if station else "station")
        self._give_pass(response, station)
        return response

    async def show_station(self, request: web.Request) -> web.Response:
        """Ask where this browser stands."""
        holder = self.holder(request)
        if holder is None:
            return self.send_on(request, None)
        return self._station_page(request, holder)

    async def take_station(self, request: web.Request) -> web.Response:
        """Name this browser's station; its boards start again under the new name."""
        self._refuse_foreign_page(request)
        holder = self.holder(request)
        if holder is None:
            return self.send_on(request, None)
        form = await request.post()
        try:
            station = checked_station_name(str(form.get("typed") or form.get("station") or ""))
        except StationNameError as refusal:
            return self._station_page(request, holder, str(refusal), status=422)
        if station != holder.station:
            self._passes.set_station(holder.pass_id, station)
            self._save()
            await self._end_boards(holder)
        response = _see("./")
        self._set_cookie(response, self._station_cookie, quote(station), _STATION_COOKIE_SECONDS)
        return response

    async def sign_out(self, request: web.Request) -> web.Response:
        """Take a browser's pass back and end its boards."""
        self._refuse_foreign_page(request)
        holder = self.holder(request)
        if holder is not None:
            self._passes.revoke(holder.pass_id)
            self._save()
            await self._end_boards(holder)
        response = _see("sign-in")
        response.del_cookie(self._pass_cookie, path="/", httponly=True, samesite="Strict")
        return response

    async def _end_boards(self, holder: Pass) -> None:
        if self.on_signed_out is not None:
            await self.on_signed_out(holder.pass_id)

    def _refuse_foreign_page(self, request: web.Request) -> None:
        if not self._hosts.origin_allowed(request.headers.get("Origin"), request.host):
            raise web.HTTPForbidden(text="Only the board's own pages may send this.\n")

    def _give_pass(self, response: web.Response, station: str | None) -> None:
        secret, _ = self._passes.issue(self._wall_clock(), station)
        self._set_cookie(response, self._pass_cookie, secret, self._settings.pass_hours * 3600)
        self._save()

    def _set_cookie(self, response: web.Response, name: str, text: str, seconds: float) -> None:
        secure = (self._settings.public_url or "").startswith("https:")
        response.set_cookie(
            name,
            text,
            max_age=int(seconds),
            path="/",
            httponly=True,
            secure=secure,
            samesite="Strict",
        )

    def _save(self) -> None:
        if self._file is None:
            return
        try:
            self._file.save(self._passes.held(self._wall_clock()))
        except OSError as error:
            log.warning("Who is signed in cannot be kept for a restart: %s.", error)

    def _remembered_station(self, request: web.Request) -> str | None:
        try:
            return checked_station_name(unquote(request.cookies.get(self._station_cookie, "")))
        except StationNameError:
            return None

    def _sign_in_page(
        self, request: web.Request, sentence: str = "", status: int = 200
    ) -> web.Response:
        context = {"title": self._settings.title, "sentence": sentence}
        return aiohttp_jinja2.render_template("sign_in.html", request, context, status=status)

    def _locked_page(self, request: web.Request, wait_seconds: float) -> web.Response:
        whole = math.ceil(wait_seconds)
        spoken = f"{whole} seconds" if whole < 120 else f"{math.ceil(whole / 60)} minutes"
        sentence = f"Too many wrong PINs were entered. Try again in {spoken}."
        response = self._sign_in_page(request, sentence, status=429)
        response.headers["Retry-After"] = str(whole)
        return response

    def _station_page(
        self, request: web.Request, holder: Pass, sentence: str = "", status: int = 200
    ) -> web.Response:
        context = {
            "title": self._settings.title,
            "stations": self._settings.stations,
            "current": holder.station or self._remembered_station(request) or "",
            "longest": LONGEST_STATION_NAME,
            "sentence": sentence,
        }
        return aiohttp_jinja2.render_template("station.html", request, context, status=status)


def _see(path: str) -> web.Response:
    """Send the browser on by a relative address, so that any address of this machine works."""
    return web.Response(status=303, headers={"Location": path})
