"""Which station a served board stands at, and the view it opens in again.

The browser server gives each board process three environment variables. In a terminal none is
set: the board then has no station name and opens on its first view.
"""

from __future__ import annotations

import os
import re
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping

STATION_VARIABLE = "FLOORBOARD_STATION"
"""The station's name, for the log: who pressed what where."""
VIEW_VARIABLE = "FLOORBOARD_VIEW"
"""The view the station last showed."""
RESUME_VARIABLE = "FLOORBOARD_RESUME"
"""Path of the small file in which the board keeps the name of the view it shows."""

_VIEW_NAME = re.compile(r"[a-z][a-z0-9_-]{0,39}")


def station_name(environ: Mapping[str, str] = os.environ) -> str | None:
    """Return the name of the station this board is shown at, or None in a terminal."""
    return environ.get(STATION_VARIABLE) or None


def is_served(environ: Mapping[str, str] = os.environ) -> bool:
    """Return whether this board is shown in a browser."""
    return bool(environ.get(RESUME_VARIABLE))


def opening_view(known: Collection[str], environ: Mapping[str, str] = os.environ) -> str | None:
    """Return the view to open in again, or None for the first one.

    Parameters
    ----------
    known
        The names of the views there are. A remembered name that is not among them is ignored.
    """
    view = environ.get(VIEW_VARIABLE, "")
    return view if view in known else None


def remember_view(view: str, environ: Mapping[str, str] = os.environ) -> None:
    """Keep the name of the view now shown, so that a new process opens in it.

    Does nothing in a terminal. The place is a convenience, so a folder that cannot be written
    does not disturb the board.

    Raises
    ------
    ValueError
        The name is not 1-40 lower-case letters, digits, ``_`` or ``-``, starting with a letter.
    """
    if _VIEW_NAME.fullmatch(view) is None:
        raise ValueError(f"a view is named in lower-case letters, digits, _ and -, not {view!r}")
    target = environ.get(RESUME_VARIABLE)
    if not target:
        return
    written = Path(f"{target}.new")
    try:
        written.write_text(view, encoding="ascii")
        written.replace(target)
    except OSError:
        return
