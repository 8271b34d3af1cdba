"""`floorboard serve`: the same board in a browser on the shop's network."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from floorboard.cli.options import database_option
from floorboard.shop.errors import FloorboardError


@click.command()
@click.option("--host", default="127.0.0.1", show_default=True, help="The address to listen at.")
@click.option("--port", type=click.IntRange(0, 65535), default=8000, show_default=True)
@click.option(
    "--pin-file",
    type=click.Path(exists=True, dir_okay=False),
    help="A file that holds the PIN. Without it the PIN is taken from FLOORBOARD_PIN, or asked for.",
)
@click.option(
    "--name",
    "stations",
    multiple=True,
    metavar="NAME",
    help="A station's name to offer; may be given several times.",
)
@click.option("--public-url", metavar="URL", help="The address of a reverse proxy in front.")
@click.option(
    "--most", type=click.IntRange(1, 100), default=8, show_default=True, help="Boards open at once."
)
@click.option(
    "--demo",
    "of_demo",
    is_flag=True,
    help="Serve the demo shop, a throw-away one for each browser.",
)
@database_option
def serve(
    host: str,
    port: int,
    pin_file: str | None,
    stations: tuple[str, ...],
    public_url: str | None,
    most: int,
    of_demo: bool,
    database: str,
) -> None:
    """Serve the board to browsers: a tablet by the bench, a screen on the wall.

    Reachable from this machine only, unless --host says otherwise; then a PIN is asked of every
    browser before it is shown anything. It has no encryption of its own: on a network you do not
    trust, put a reverse proxy with TLS before it and name its address with --public-url.
    """
    from platformdirs import user_state_path

    from floorboard.serve.run import serve_board
    from floorboard.serve.settings import ServeRefusedError, is_this_machine

    beyond = not is_this_machine(host) or public_url is not None
    program = [sys.executable, "-m", "floorboard"]
    command = [*program, "demo"] if of_demo else [*program, "--database", database]
    try:
        serve_board(
            command=command,
            host=host,
            port=port,
            pin=_pin(pin_file, ask=beyond),
            stations=stations,
            public_url=public_url,
            max_sessions=most,
            state_folder=user_state_path("floorboard") / "serve",
            announce=click.echo,
        )
    except ServeRefusedError as refusal:
        raise FloorboardError(str(refusal)) from None


def _pin(pin_file: str | None, *, ask: bool) -> str | None:
    """Return the PIN from its file, from the environment, or asked for; never from an option,
    which every user of the machine could read in the list of processes.
    """
    import os

    if pin_file is not None:
        return Path(pin_file).read_text(encoding="utf-8").strip()
    if found := os.environ.pop("FLOORBOARD_PIN", ""):
        return found
    return _asked_pin() if ask else None


def _asked_pin() -> str:
    import warnings
    from getpass import GetPassWarning

    with warnings.catch_warnings():
        # Raised before anything typed could be seen: there is no terminal that can hide it.
        warnings.simplefilter("error", GetPassWarning)
        try:
            asked: str = click.prompt(
                "PIN for the browsers", hide_input=True, confirmation_prompt=True
            )
        except GetPassWarning:
            raise FloorboardError(
                "Browsers beyond this machine need a PIN, and there is no terminal to ask for it. "
                "Give a file that holds it with --pin-file FILE, or set FLOORBOARD_PIN."
            ) from None
    return asked
