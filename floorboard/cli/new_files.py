"""Files that commands write: never over one that is there, unless told to."""

from __future__ import annotations

from pathlib import Path

import click


def write_new(name: str, content: bytes, *, force: bool = False) -> None:
    """Write a file and say so.

    Raises
    ------
    click.ClickException
        In a sentence, if it is there already or cannot be written.
    """
    path = Path(name).expanduser()
    try:
        with path.open("wb" if force else "xb") as file:
            file.write(content)
    except FileExistsError:
        raise click.ClickException(
            f"{path} is there already. Use --force to write over it."
        ) from None
    except OSError as error:
        raise click.ClickException(f"{path} cannot be written: {error.strerror}.") from None
    click.echo(f"Wrote {path}.")
