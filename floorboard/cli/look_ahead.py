"""A second process that looks at the floor while this one loads the screen.

The board's first frame needs the floor, and what reads it takes as long to import as the screen
itself. On a machine with two cores both are ready in the time of one.
"""

from __future__ import annotations

import os
import pickle
from pathlib import Path
from typing import TYPE_CHECKING

from floorboard.shop.errors import FloorboardError

if TYPE_CHECKING:
    from collections.abc import Callable

    from floorboard.screens.first_look import FirstLook


class LookAhead:
    """A look that is being taken in a process of its own; begin it before all other work."""

    def __init__(self, look: Callable[[], FirstLook]) -> None:
        self._process = 0
        if not hasattr(os, "fork"):
            return
        self._answer, told = os.pipe()
        self._process = os.fork()
        if self._process == 0:
            os.close(self._answer)
            _look_and_end(look, told)
        os.close(told)

    def take(self) -> FirstLook | None:
        """Load the screen, and return the look once it is there.

        None if there was nothing to see, or no such process can be had: whoever then opens the
        floor in this process is told why.
        """
        if not self._process:
            return None
        import floorboard.screens.app
        import floorboard.screens.floor_screen.opening_screen  # noqa: F401

        with os.fdopen(self._answer, "rb") as answer:
            seen = answer.read()
        os.waitpid(self._process, 0)
        look: FirstLook | None = pickle.loads(seen) if seen else None
        return look


def _look_and_end(look: Callable[[], FirstLook], told: int) -> None:
    """Write a look down the pipe and end this process, whatever happens.

    What keeps the floor from being seen is told by whoever opens it next; a fault of ours would not
    come up there, so it is written down here.
    """
    try:
        seen = pickle.dumps(look())
        with os.fdopen(told, "wb") as answer:
            answer.write(seen)
    except FloorboardError:
        pass
    except Exception as error:
        _note(error)
    finally:
        # Nothing of the process this one was split from may be ended or told a second time.
        os._exit(0)


def _note(error: Exception) -> None:
    from floorboard.cli.run_board import fault_file
    from floorboard.floor.clock import SystemClock
    from floorboard.screens.fault_log import FaultLog

    FaultLog(fault_file()).note("taking a first look", error, SystemClock().now())


def look_at_database(database: str) -> FirstLook:
    """Return what is seen of the floor in a database now.

    Raises
    ------
    floorboard.shop.errors.StoreError
        If there is no shop in it, or no reading it.
    """
    from floorboard.floor.clock import SystemClock
    from floorboard.screens.first_look import first_look
    from floorboard.store.peek import peek

    return first_look(*peek(Path(database).expanduser()), SystemClock().now())
