"""What the browser server is told, and what it refuses before it binds anything."""

from __future__ import annotations

import ipaddress
import shlex
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from pydantic import BaseModel, ConfigDict, Field, SecretStr, field_validator, model_validator

from floorboard.serve.stations import checked_station_name
from floorboard.shop.errors import FloorboardError

if TYPE_CHECKING:
    from collections.abc import Sequence

SHORTEST_PIN = 6
LONGEST_PIN = 128
_RUNS = ("01234567890", "09876543210", "abcdefghijklmnopqrstuvwxyz", "qwertyuiop", "password")


class ServeRefusedError(FloorboardError, ValueError):
    """The board cannot be served as asked; the message says what to change."""


class ServeSettings(BaseModel):
    """How a board is served. The PIN never shows in a repr or an error."""

    model_config = ConfigDict(frozen=True, extra="forbid", hide_input_in_errors=True)

    argv: tuple[str, ...] = Field(min_length=1)
    """The board's own command line, started without a shell."""
    host: str = "127.0.0.1"
    port: int = Field(default=8000, ge=0, le=65535)
    """TCP port; 0 takes any free one."""
    pin: SecretStr | None = None
    stations: tuple[str, ...] = ()
    """Station names offered to a newcomer."""
    public_url: str | None = None
    """The address a reverse proxy answers at, such as ``https://board.example``."""
    max_sessions: int = Field(default=8, ge=1, le=100)
    """Most boards open at once; each is a process of its own."""
    title: str = "The board"
    pass_hours: float = Field(default=16.0, gt=0, le=24 * 90)
    """How long a browser stays signed in, in hours."""
    hold_lost_seconds: float = Field(default=45.0, ge=0, le=600)
    """How long a board waits for a browser whose connection was lost."""
    hold_left_seconds: float = Field(default=5.0, ge=0, le=600)
    """How long a board waits after its page was left, so that a reload finds it again."""
    state_folder: Path | None = None
    """Where views and passes are kept over a restart of the server; None keeps them no longer."""

    @field_validator("stations")
    @classmethod
    def _stations_are_plain(cls, names: tuple[str, ...]) -> tuple[str, ...]:
        checked = tuple(checked_station_name(name) for name in names)
        if len(set(checked)) != len(checked):
            raise ValueError("Each station needs a name of its own.")
        return checked

    @field_validator("public_url")
    @classmethod
    def _public_url_is_an_address(cls, url: str | None) -> str | None:
        if url is None:
            return None
        try:
            parts = urlsplit(url)
            usable = parts.scheme in {"http", "https"} and parts.hostname and parts.port != 0
        except ValueError:
            usable = False
        # The parser would pass over line ends and the like.
        usable = usable and url.isprintable() and " " not in url
        if not usable or parts.path not in {"", "/"} or parts.query or parts.username:
            raise ValueError(
                "The public address must look like https://board.example or "
                "http://192.168.1.20:8000, without a path."
            )
        return url.rstrip("/")

    @model_validator(mode="after")
    def _beyond_this_machine_only_with_a_pin(self) -> ServeSettings:
        if self.pin is not None:
            check_pin_strength(self.pin.get_secret_value())
        elif not is_this_machine(self.host):
            raise ValueError(
                f"The address {self.host or '(every one)'} can be reached from other machines. "
                "Set a PIN, or serve on 127.0.0.1."
            )
        elif self.public_url and not is_this_machine(urlsplit(self.public_url).hostname or ""):
            raise ValueError(
                f"The address {self.public_url} can be reached from other machines. Set a PIN."
            )
        return self


def settle(command: str | Sequence[str], **options: object) -> ServeSettings:
    """Check how the board is to be served.

    Parameters
    ----------
    command
        The board's command line: a list of arguments, or one text split as a shell would split
        it. No shell ever reads it.
    options
        The fields of ServeSettings.

    Raises
    ------
    ServeRefusedError
        Something given does not do; the message says all of it, one sentence each.
    """
    try:
        argv = tuple(shlex.split(command)) if isinstance(command, str) else tuple(command)
    except ValueError as error:
        raise ServeRefusedError(f"The command cannot be read: {error}.") from error
    try:
        return ServeSettings.model_validate({"argv": argv, **options})
    except ValueError as error:
        raise ServeRefusedError(_sentences(error)) from error


def _sentences(error: ValueError) -> str:
    problems = getattr(error, "errors", None)
    if problems is None:
        return str(error)
    said = []
    for problem in problems(include_input=False, include_url=False):
        where = ".".join(str(part) for part in problem["loc"])
        raised = problem.get("ctx", {}).get("error")
        said.append(str(raised) if raised else f"{where}: {problem['msg']}.")
    return " ".join(said)


def is_this_machine(host: str) -> bool:
    """Tell whether a name or address can only be reached from this machine."""
    if host.casefold() == "localhost":
        return True
    try:
        return ipaddress.ip_address(host.strip("[]")).is_loopback
    except ValueError:
        return False


def check_pin_strength(pin: str) -> None:
    """Refuse a PIN that would be tried first.

    Raises
    ------
    ServeRefusedError
        It is too short, too long, holds control characters, repeats itself or counts up.
    """
    if not SHORTEST_PIN <= len(pin) <= LONGEST_PIN:
        raise ServeRefusedError(f"A PIN has {SHORTEST_PIN} to {LONGEST_PIN} characters.")
    if not pin.isprintable() or pin != pin.strip():
        raise ServeRefusedError("A PIN is letters, digits and signs, with no space at either end.")
    if len(set(pin)) < 3 or any(pin.casefold() in run for run in _RUNS):
        raise ServeRefusedError("This PIN is among the first that would be tried. Choose another.")
