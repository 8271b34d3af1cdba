"""Calls on signals of the system, where there are any."""

from __future__ import annotations

import asyncio
import contextlib
import signal
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable


def on_signal(name: str, call: Callable[[], object]) -> None:
    """Have the running loop call this on a signal; does nothing where there is no such signal."""
    number = getattr(signal, name, None)
    if number is None:
        return
    # Only Unix loops take signal handlers, and only in the main thread.
    with contextlib.suppress(NotImplementedError, RuntimeError, ValueError):
        asyncio.get_running_loop().add_signal_handler(number, call)
