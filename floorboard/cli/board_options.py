"""Options of a board's own keyboard, loudspeaker and scale, shared by the shop's board and the demo's."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from collections.abc import Callable

    from floorboard.screens.settings import BoardSettings
    from floorboard.usecases.bench_scale import BenchScale

confirm_key_option = click.option(
    "--confirm-key",
    envvar="FLOORBOARD_CONFIRM_KEY",
    default="",
    metavar="KEY",
    help="A key that confirms besides Enter, such as f13 from a foot pedal.",
)
call_command_option = click.option(
    "--call-command",
    envvar="FLOORBOARD_CALL_COMMAND",
    default="",
    metavar="COMMAND",
    help="A command that speaks or plays a call; it gets the words as its last argument.",
)
scale_option = click.option(
    "--scale",
    envvar="FLOORBOARD_SCALE",
    default="",
    metavar="PORT",
    help="The serial port of the bench scale, such as /dev/ttyUSB0 or COM3.",
)


def board_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the options of a board's own keyboard, loudspeaker and scale."""
    return confirm_key_option(call_command_option(scale_option(command)))


def board_settings(confirm_key: str, call_command: str, scale: str = "") -> BoardSettings:
    """Return the settings of these options.

    Raises
    ------
    floorboard.screens.settings.BadSetting
        In a sentence: the key is taken, or the command cannot be read.
    """
    from floorboard.screens.settings import BoardSettings, read_call_command, read_confirm_key

    return BoardSettings(
        read_confirm_key(confirm_key), read_call_command(call_command), _scale_at(scale)
    )


def _scale_at(port: str) -> BenchScale | None:
    """Return the scale at a port; it is opened when the first ticket listens to it."""
    if not port.strip():
        return None
    from floorboard.usecases.bench_scale import BenchScale, open_serial

    return BenchScale(lambda: open_serial(port.strip()))
