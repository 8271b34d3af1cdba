"""Run the browser server until it is told to stop."""

from __future__ import annotations

import asyncio
import contextlib
import logging
import signal
import socket
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Any

from aiohttp import web

from floorboard.serve.places import Places
from floorboard.serve.server import BoardServer
from floorboard.serve.settings import ServeRefusedError, ServeSettings, is_this_machine, settle

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

log = logging.getLogger("floorboard.serve")

_STOP_SECONDS = 10.0
_ANY_ADDRESS = frozenset({"", "0.0.0.0", "::", "[::]"})


def serve_board(
    *,
    command: str | Sequence[str],
    host: str = "127.0.0.1",
    port: int = 8000,
    pin: str | None = None,
    stations: Sequence[str] = (),
    public_url: str | None = None,
    max_sessions: int = 8,
    announce: Callable[[str], None] = print,
    **options: Any,
) -> None:
    """Serve the board to browsers until SIGINT, SIGTERM or SIGHUP.

    Parameters
    ----------
    command
        The board's own command line, started without a shell for every tab. It is given
        ``FLOORBOARD_STATION``, ``FLOORBOARD_VIEW`` and ``FLOORBOARD_RESUME`` (see
        ``floorboard.screens.place``), never the PIN.
    host, port
        The address to listen at. Any but this machine's own needs a PIN.
    pin
        What a browser must enter before it is shown anything; 6 to 128 characters.
    stations
        Names offered when a browser is asked where it stands.
    public_url
        The address of a reverse proxy in front, if there is one.
    max_sessions
        Most boards open at once.
    announce
        Given each sentence meant for whoever started the server.
    options
        The further fields of ``ServeSettings``: ``title``, ``pass_hours``, ``state_folder``,
        ``hold_lost_seconds``, ``hold_left_seconds``.

    Raises
    ------
    ServeRefusedError
        It cannot be served as asked, or the address cannot be listened at.
    """
    settings = settle(
        command,
        host=host,
        port=port,
        pin=pin,
        stations=tuple(stations),
        public_url=public_url,
        max_sessions=max_sessions,
        **options,
    )
    with contextlib.ExitStack() as stack:
        folder = settings.state_folder
        if folder is None:
            folder = Path(stack.enter_context(tempfile.TemporaryDirectory(prefix="floorboard-")))
        else:
            _make_private(folder)
        asyncio.run(_serve(settings, Places(folder), announce))


async def _serve(settings: ServeSettings, places: Places, announce: Callable[[str], None]) -> None:
    places.forget_oldest()
    server = BoardServer(settings, places)
    stop = _stop_event()
    # No access log: its lines would name tabs, and the sign-ins are logged without secrets.
    runner = web.AppRunner(
        await server.application(), access_log=None, shutdown_timeout=_STOP_SECONDS
    )
    await runner.setup()
    try:
        site = web.TCPSite(runner, settings.host or None, settings.port)
        try:
            await site.start()
        except OSError as error:
            raise ServeRefusedError(
                f"Port {settings.port} at {settings.host} cannot be used: {error.strerror or error}. "
                "Choose another port, or end what uses it."
            ) from error
        for sentence in where_to_open(settings, runner.addresses[0][1]):
            announce(sentence)
        await stop.wait()
    finally:
        await runner.cleanup()


def _stop_event() -> asyncio.Event:
    stop = asyncio.Event()
    loop = asyncio.get_running_loop()
    for name in ("SIGINT", "SIGTERM", "SIGHUP"):
        number = getattr(signal, name, None)
        # Started under nohup, the server is meant to outlive its terminal.
        if number is None or signal.getsignal(number) is signal.SIG_IGN:
            continue
        # Only Unix loops take signal handlers; elsewhere Ctrl-C ends the server as it ends any.
        with contextlib.suppress(NotImplementedError):
            loop.add_signal_handler(number, stop.set)
    return stop


def where_to_open(settings: ServeSettings, port: int) -> list[str]:
    """Return sentences that say where the board is found and who gets in."""
    if settings.public_url is not None:
        said = [f"The board is at {settings.public_url}."]
    elif settings.host in _ANY_ADDRESS:
        addresses = [f"http://{address}:{port}" for address in ("127.0.0.1", *lan_addresses())]
        said = [f"The board is at {' and at '.join(addresses)}."]
    else:
        shown = f"[{settings.host}]" if ":" in settings.host else settings.host
        said = [f"The board is at http://{shown}:{port}."]
    if settings.pin is not None:
        said.append("A browser must enter the PIN first.")
    if settings.pin is not None and not (settings.public_url or "").startswith("https:"):
        said.append("What is sent can be read by others on the network: it is not encrypted.")
    elif is_this_machine(settings.host):
        said.append("Only this machine can open it.")
    return [*said, "Press Ctrl+C to stop."]


def lan_addresses() -> list[str]:
    """Return the address this machine has on its network, if it has one. Nothing is sent."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            # Documentation address of RFC 5737: choosing a route to it sends no packet.
            probe.connect(("192.0.2.1", 9))
        except OSError:
            return []
        address = str(probe.getsockname()[0])
    return [address] if address not in {"0.0.0.0", "127.0.0.1"} else []


def _make_private(folder: Path) -> None:
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as error:
        raise ServeRefusedError(f"The folder {folder} cannot be made: {error.strerror}.") from error
