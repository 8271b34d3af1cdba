"""The commands. Each lives in a module of its own, imported only when it is asked for."""

from __future__ import annotations

import importlib
import os
import sys
from functools import partial

import click

from floorboard import __version__
from floorboard.cli.board_options import board_options, board_settings
from floorboard.cli.options import database_option, given_before, light_option, station_option

# Command name -> (module, function, one line of help).
COMMANDS: dict[str, tuple[str, str, str]] = {
    "demo": ("board", "demo", "Open the board on the demo shop, in a throw-away database."),
    "plan": ("plan", "plan", "Print who should do what when."),
    "chance": ("chance", "chance", "Say how likely today's plan is to come out."),
    "rotation": (
        "rotation",
        "rotation",
        "Print the shortest repeating round that people can keep.",
    ),
    "promise": ("promise", "promise", "Say when so many of a piece can be promised."),
    "what-if": ("whatif", "what_if", "Say what other molds, people or buckets would bring."),
    "tally": ("tally", "tally", "Print the counts of a day or of a range of days."),
    "finishing": (
        "finishing",
        "finishing",
        "Print what is out of the molds, and what it waits for.",
    ),
    "quality": ("quality", "quality", "Print what weights, walls, inspections and yields say."),
    "molds": ("molds", "molds", "Print pulls, care and wear of the molds; when to order new ones."),
    "times": (
        "times",
        "times",
        "Print the times learned from the log, and which are planned with.",
    ),
    "export": ("export", "export", "Write the whole history as plain tables, SQLite or Parquet."),
    "labels": ("labels", "labels", "Write a sheet of labels for castings, with codes to scan."),
    "handover": (
        "handover",
        "handover",
        "Print the note for the next shift: molds, what is first.",
    ),
    "ticket": ("ticket", "ticket", "Print what to weigh for a batch, reading by reading."),
    "correct": ("correct", "correct", "Say what brings an over-poured batch back in ratio."),
    "working-time": (
        "working_time",
        "working_time",
        "From an additive's percentage to minutes, and back.",
    ),
    "layers": ("layers", "layers", "Say how many layers can be made from what is left."),
    "stock": ("stock", "stock", "Say what is on hand; receive, open, count, waste, make up lots."),
    "trace": ("trace", "trace", "Follow a lot to its castings, or a casting to its lots."),
    "cost": ("cost", "cost", "What castings, pieces, orders and scrap cost."),
    "log": ("log", "log", "Print the log, newest entries last."),
    "serve": ("serve", "serve", "Serve the board to browsers on the shop's network."),
    "shop": ("shop", "shop", "Check, load or save the shop's definitions."),
    "backup": ("safekeeping", "backup", "Back the database up, and keep a rotating set."),
    "restore": ("safekeeping", "restore", "Bring a backup back; what was there is kept."),
    "check": ("safekeeping", "check", "Check the database against its own log."),
    "schema": ("schema", "schema", "Print the JSON schema of what a command prints with --json."),
}


class Commands(click.Group):
    """A group that imports a command's module only when that command is called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the command names in the order of the table."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import and return a command."""
        if cmd_name not in COMMANDS:
            return None
        module, function, _ = COMMANDS[cmd_name]
        found = getattr(importlib.import_module(f"floorboard.cli.{module}"), function)
        assert isinstance(found, click.Command)
        return found

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the commands' one-line help without importing them."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, text) for name, (_, _, text) in COMMANDS.items()])


@click.group(cls=Commands, invoke_without_command=True)
@database_option
@station_option
@light_option
@click.option("--ascii", "ascii_only", is_flag=True, help="Draw with ASCII characters only.")
@board_options
@click.version_option(__version__, prog_name="floorboard")
@click.pass_context
def cli(
    ctx: click.Context,
    database: str,
    station: str,
    light: bool,
    ascii_only: bool,
    confirm_key: str,
    call_command: str,
    scale: str,
) -> None:
    """The board over a small casting shop.

    Without a command it opens the board: every mold with its countdown, what each person does
    next, and what to weigh. Try `floorboard demo` first; it needs nothing.
    """
    ctx.default_map = given_before(ctx)
    if ctx.invoked_subcommand is None:
        from floorboard.cli.board import open_board

        settings = partial(board_settings, confirm_key, call_command, scale)
        open_board(database, station=station, light=light, ascii_only=ascii_only, settings=settings)


def _validation_sentences(error: ValueError) -> list[str]:
    """Return what is wrong with a value that no entry of the log can hold, one sentence each."""
    from pydantic import ValidationError

    if not isinstance(error, ValidationError):
        return []
    return [
        f"{'.'.join(map(str, detail['loc']))}: {detail['msg'].removeprefix('Value error, ')}."
        for detail in error.errors(include_url=False, include_input=False)
    ]


def main() -> None:
    """Run the command line; what goes wrong is said in a sentence, with an exit status of 1."""
    from floorboard.shop.errors import FloorboardError

    # No model here has plugins; looking for some reads every installed package's metadata.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "true")
    try:
        # A command that ends by an exit status of its own gives it back here.
        status = cli(standalone_mode=False)
    except click.exceptions.Abort:
        sys.exit(130)
    except click.ClickException as error:
        error.show()
        sys.exit(error.exit_code)
    except FloorboardError as error:
        click.echo(str(error), err=True)
        sys.exit(1)
    except ValueError as error:
        sentences = _validation_sentences(error)
        if not sentences:
            raise
        click.echo("\n".join(sentences), err=True)
        sys.exit(1)
    except BrokenPipeError:
        # The reader of a pipe has had enough; that is no mistake of anyone's.
        sys.stderr.close()
        sys.exit(0)
    if isinstance(status, int) and status:
        sys.exit(status)
