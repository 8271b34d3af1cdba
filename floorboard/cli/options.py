"""Options that several commands share."""

from __future__ import annotations

import json
import socket
from typing import TYPE_CHECKING, Any

import click
from click.core import ParameterSource

from floorboard.shop.errors import FloorboardError
from floorboard.shop.printable import LONGEST_SOURCE, LONGEST_STATION, printable

if TYPE_CHECKING:
    from pathlib import Path

    from pydantic import BaseModel


def default_database() -> str:
    """Return where the shop's database is kept unless told otherwise."""
    from platformdirs import user_data_path

    return str(user_data_path("floorboard") / "floor.db")


def default_station() -> str:
    """Return the name this machine goes by in the log."""
    return socket.gethostname().split(".")[0][:LONGEST_STATION]


database_option = click.option(
    "--database",
    envvar="FLOORBOARD_DATABASE",
    default=default_database,
    show_default="in your data folder",
    metavar="FILE",
    help="The shop's database.",
)


def _checked_station(_: click.Context, __: click.Parameter, name: str) -> str:
    """Take only a station's name that the log can show: it may come from the environment."""
    try:
        printable(name)
    except ValueError as error:
        raise click.BadParameter(str(error)) from None
    if len(name) > LONGEST_STATION:
        raise click.BadParameter(
            f"found {len(name)} characters, expected at most {LONGEST_STATION}"
        )
    return name


def shown_name(path: Path) -> str:
    """Return a file's name as a screen can show it; a file system lets names hold anything."""
    name = path.name[:LONGEST_SOURCE]
    return "".join(character if character.isprintable() else "?" for character in name)


station_option = click.option(
    "--station",
    envvar="FLOORBOARD_STATION",
    default=default_station,
    show_default="this machine's name",
    metavar="NAME",
    callback=_checked_station,
    help="The station's name in the log.",
)
light_option = click.option("--light", is_flag=True, help="Light ground instead of dark.")
demo_option = click.option("--demo", "of_demo", is_flag=True, help="Of the demo shop's day.")
json_option = click.option("--json", "as_json", is_flag=True, help="Print JSON.")


def print_json(value: BaseModel | list[Any] | dict[str, Any]) -> None:
    """Print a value as JSON."""
    from pydantic import BaseModel

    if isinstance(value, BaseModel):
        click.echo(value.model_dump_json(indent=2))
    else:
        click.echo(json.dumps(value, indent=2, default=str, ensure_ascii=False))


def ensure_folder(folder: Path, option: str) -> None:
    """Make a folder if it is not there; `option` is what names another.

    Raises
    ------
    FloorboardError
        In a sentence, if it cannot be made.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise FloorboardError(
            f"The folder {folder} could not be made: {error.strerror}. "
            f"Name another place with {option}."
        ) from None


class Given(dict[str, Any]):
    """Options given before a command's name, as defaults of every command below it."""

    def get(self, key: str, default: Any = None) -> Any:
        """Return a given option, or for a command's name all of them."""
        return super().get(key, self if key not in SHARED else default)


SHARED = frozenset({"database", "station"})


def given_before(ctx: click.Context) -> Given:
    """Return the shared options given to a group, for the commands below it to fall back on."""
    unasked = {ParameterSource.DEFAULT, ParameterSource.ENVIRONMENT, None}
    return Given(
        {
            name: ctx.params[name]
            for name in SHARED
            if name in ctx.params and ctx.get_parameter_source(name) not in unasked
        }
    )
