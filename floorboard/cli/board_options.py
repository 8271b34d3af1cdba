"""Options of a board's own keyboard and loudspeaker, shared by the shop's board and the demo's."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from collections.abc import Callable

    from floorboard.screens.settings import BoardSettings

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


def board_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the options of a board's own keyboard and loudspeaker."""
    return confirm_key_option(call_command_option(command))


def board_settings(confirm_key: str, call_command: str) -> BoardSettings:
    """Return the settings of these options.

    Raises
    ------
    floorboard.screens.settings.BadSetting
        In a sentence: the key is taken, or the command cannot be read.
    """
    from floorboard.screens.settings import BoardSettings, read_call_command, read_confirm_key

    return BoardSettings(read_confirm_key(confirm_key), read_call_command(call_command))
