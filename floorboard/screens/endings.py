"""How the board ends when it is told to, or when its terminal or browser goes away.

The framework handles the interrupt key only. A terminate or hang-up signal would leave the
terminal in its alternate screen, and a board whose terminal vanished while hang-ups are ignored
(started under ``nohup``, or by some service managers) would read an ended input for ever.
"""

from __future__ import annotations

import asyncio
import contextlib
import os
import select
import sys
import threading
import time
from typing import TYPE_CHECKING, Any

from floorboard.screens.repaint import install_repaint
from floorboard.screens.signals import on_signal

if TYPE_CHECKING:
    from textual.app import App

_RECHECK_SECONDS = 2.0
_STANDARD_STREAMS = (0, 1, 2)
_HUNG_UP_STATUS = 129
"""Exit status of a board that had to be cut off: 128 plus the number of the hang-up signal."""


def install_endings(app: App[Any], *, last_resort_seconds: float = 5.0) -> None:
    """Make the app leave cleanly on SIGTERM, SIGHUP, a closed terminal or a dead server.

    Call it from the app's ``on_mount``. A served board is also made to draw itself whole for a
    page that came back (see ``repaint``). It does nothing for an app that runs without a terminal
    (in a test). The input is watched from a thread that sleeps until the other end is gone, so
    it costs nothing while the board runs.

    Parameters
    ----------
    app
        The running app. ``app.exit()`` is called, so its unmount handlers run and the status is 0.
    last_resort_seconds
        Seconds an app whose input is gone has to end by itself. After that the process is cut
        off: nothing is lost by it, since every entry is committed when its key is pressed.
    """
    if app.is_headless:
        return
    install_repaint(app)
    loop = asyncio.get_running_loop()
    for name in ("SIGTERM", "SIGHUP"):
        on_signal(name, app.exit)
    if not hasattr(select, "poll") or sys.__stdin__ is None:
        return
    threading.Thread(
        target=_leave_when_input_is_gone,
        args=(app, loop, sys.__stdin__.fileno(), last_resort_seconds),
        name="board-endings",
        daemon=True,
    ).start()


def is_gone(descriptor: int) -> bool:
    """Tell whether the other end of a terminal, pipe or socket has been closed."""
    poller = select.poll()
    poller.register(descriptor, 0)
    return any(_means_gone(descriptor, event) for _, event in poller.poll(0))


def wait_until_gone(descriptor: int) -> None:
    """Sleep until the other end of a terminal, pipe or socket has been closed."""
    poller = select.poll()
    poller.register(descriptor, 0)
    while True:
        events = poller.poll()
        if any(_means_gone(descriptor, event) for _, event in events):
            return
        # A system that cannot poll terminals answers at once, so look now and then instead.
        time.sleep(_RECHECK_SECONDS)


def _means_gone(descriptor: int, event: int) -> bool:
    if event & select.POLLNVAL:
        return not os.isatty(descriptor)
    return bool(event & (select.POLLHUP | select.POLLERR))


def _leave_when_input_is_gone(
    app: App[Any], loop: asyncio.AbstractEventLoop, descriptor: int, last_resort_seconds: float
) -> None:
    wait_until_gone(descriptor)
    _point_dead_streams_nowhere()
    # A loop that is closed already belongs to a board that is ending anyway.
    with contextlib.suppress(RuntimeError):
        loop.call_soon_threadsafe(app.exit)
    time.sleep(last_resort_seconds)
    os._exit(_HUNG_UP_STATUS)


def _point_dead_streams_nowhere() -> None:
    """Let the driver's last writes succeed: a failed one ends its writer, and the app waits on it."""
    nowhere = os.open(os.devnull, os.O_RDWR)
    for descriptor in _STANDARD_STREAMS:
        if is_gone(descriptor):
            os.dup2(nowhere, descriptor)
    os.close(nowhere)
