"""A command that needs a further word, and names all its words where that one is missing."""

from __future__ import annotations

import click


class Subcommands(click.Group):
    """A group named by a verb, such as trace; what it cannot read it answers with what it can."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Read the group's own options; one that belongs behind the further word is told so."""
        try:
            return super().parse_args(ctx, args)
        except click.NoSuchOption as error:
            raise click.UsageError(f"{error.format_message()} {self._wanted()}", ctx) from None

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the further word."""
        try:
            return super().resolve_command(ctx, args)
        except click.UsageError as error:
            raise click.UsageError(f"{error.format_message()} {self._wanted()}", ctx) from None

    def _wanted(self) -> str:
        calls = [
            " ".join([str(self.name), name, *_arguments(command)])
            for name, command in self.commands.items()
        ]
        return f"Say what to {self.name}: {', '.join(calls[:-1])}, or {calls[-1]}."


def _arguments(command: click.Command) -> list[str]:
    """Return the arguments that must be given, as they are written in the help."""
    return [
        str(parameter.metavar or parameter.name)
        for parameter in command.params
        if isinstance(parameter, click.Argument) and parameter.required
    ]
