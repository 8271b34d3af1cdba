"""What one board is told when it is opened. What holds for the whole shop is in the shop file."""

from __future__ import annotations

import re
import shlex
from dataclasses import dataclass
from typing import TYPE_CHECKING

from floorboard.screens.actions import ACTIONS
from floorboard.shop.errors import FloorboardError

if TYPE_CHECKING:
    from floorboard.usecases.bench_scale import BenchScale

# Keys that a pedal or a big button can be set to send.
PEDAL_KEYS = re.compile(r"f[0-9]{1,2}|space|tab|insert|pageup|pagedown|home|end|[a-z]")


class BadSetting(FloorboardError):
    """A setting of this board cannot be used; the sentence says why."""


@dataclass(frozen=True, slots=True)
class BoardSettings:
    """How one board behaves.

    `confirm_key` confirms besides Enter: for a foot pedal. `call_command` is run with what is
    called as its last argument, without a shell: for a loudspeaker. It is set where the board is
    opened and never by a shop file, which may come from anywhere. `scale` is the bench scale that
    this board listens to, if there is one.
    """

    confirm_key: str | None = None
    call_command: tuple[str, ...] = ()
    scale: BenchScale | None = None


def read_confirm_key(key: str) -> str | None:
    """Return the key that confirms besides Enter, or None if none is named.

    Raises
    ------
    BadSetting
        If there is no such key, or the floor has it for something else.
    """
    name = key.strip().lower()
    if not name or name == "enter":
        return None
    if PEDAL_KEYS.fullmatch(name) is None:
        raise BadSetting(
            f"{key!r} cannot be the confirm key. Name one of f1 to f24, space, tab, insert, home, "
            "end, pageup, pagedown or a letter that the floor does not use."
        )
    if name in set("".join(f",{action.keys}" for action in ACTIONS).split(",")) - {"space"}:
        raise BadSetting(f"The floor has {name!r} for something else. Name another confirm key.")
    return name


def read_call_command(text: str) -> tuple[str, ...]:
    """Return a command and its arguments, split as a shell would, but never given to one.

    Raises
    ------
    BadSetting
        If a quotation mark is left open.
    """
    try:
        return tuple(shlex.split(text))
    except ValueError:
        raise BadSetting(f"The call command {text!r} has a quotation mark left open.") from None
