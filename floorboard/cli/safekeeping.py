"""`floorboard check`, `backup` and `restore`: look after the database."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import TYPE_CHECKING

import click

from floorboard.cli.options import database_option, ensure_folder, json_option, print_json
from floorboard.floor.clock import SystemClock

if TYPE_CHECKING:
    from floorboard.store.backup import Backup

folder_option = click.option(
    "--folder",
    envvar="FLOORBOARD_BACKUPS",
    metavar="FOLDER",
    help="Where backups are kept; by default in 'backups' beside the database.",
)


def backup_folder(database: str, folder: str | None) -> Path:
    """Return the folder backups are kept in."""
    if folder is not None:
        return Path(folder).expanduser()
    return Path(database).expanduser().parent / "backups"


@click.command()
@click.option("--quick", is_flag=True, help="Only the file's structure and the latest entries.")
@click.option(
    "--repair", is_flag=True, help="Fill tables that went wrong again from the log, if it is sound."
)
@json_option
@database_option
def check(quick: bool, repair: bool, as_json: bool, database: str) -> None:
    """Check the database: the file, every entry, and every table against the log.

    Ends with status 1 if anything is found. What the log itself has lost only a backup can bring
    back: see floorboard restore.
    """
    from floorboard.store.verify import quick_check, verify

    path = Path(database).expanduser()
    found = quick_check(path) if quick else verify(path)
    if found and repair:
        from floorboard.store.refill import refill_database

        refill_database(path)
        found = verify(path)
    if as_json:
        print_json([{"where": finding.where, "sentence": finding.sentence} for finding in found])
    else:
        for finding in found:
            click.echo(str(finding))
    if found:
        raise SystemExit(1)
    if not as_json:
        click.echo(f"{path} is sound.")


@click.command()
@folder_option
@click.option("--list", "listed", is_flag=True, help="List the backups there are.")
@click.option(
    "--if-older",
    "hours",
    type=click.FloatRange(min=0.0),
    metavar="HOURS",
    help="Only if the newest backup is at least so old.",
)
@click.option("--keep-latest", default=8, show_default=True, type=click.IntRange(1, 1000))
@click.option("--keep-days", default=14, show_default=True, type=click.IntRange(0, 1000))
@click.option("--keep-weeks", default=8, show_default=True, type=click.IntRange(0, 1000))
@json_option
@database_option
def backup(
    folder: str | None,
    listed: bool,
    hours: float | None,
    keep_latest: int,
    keep_days: int,
    keep_weeks: int,
    as_json: bool,
    database: str,
) -> None:
    """Back the database up while boards are at work, and drop what the set has no place for.

    The backup is checked against its own log before it counts. Kept are the latest, and the last
    one of each of the latest days and weeks.
    """
    from floorboard.store.backup import Keep, back_up, backups_in, is_due, rotate
    from floorboard.store.connect import connect

    place, path, now = backup_folder(database, folder), Path(database).expanduser(), _now()
    if listed:
        _show(backups_in(place, path), as_json=as_json)
        return
    # No folder is made for what cannot be backed up.
    connect(path, read_only=True).close()
    if hours is not None and not is_due(backups_in(place, path), now, dt.timedelta(hours=hours)):
        _show([], as_json=as_json)
        return
    ensure_folder(place, "--folder")
    made = back_up(path, place, now)
    rotate(place, path, Keep(keep_latest, keep_days, keep_weeks))
    _show([made], as_json=as_json)


def _show(backups: list[Backup], *, as_json: bool) -> None:
    if as_json:
        print_json([{"path": str(b.path), "made_at": b.made_at.isoformat()} for b in backups])
        return
    for one in backups:
        click.echo(f"{one.made_at.astimezone():%Y-%m-%d %H:%M}  {one.path}")


@click.command()
@click.argument("backup_file", required=False, metavar="[BACKUP]")
@folder_option
@click.option("--yes", is_flag=True, help="Do not ask.")
@database_option
def restore(backup_file: str | None, folder: str | None, yes: bool, database: str) -> None:
    """Bring a backup back: the newest one, or the file given.

    The database as it is now is kept beside it under another name. Close every board first.
    """
    from floorboard.store.backup import backups_in
    from floorboard.store.restore import restore as bring_back

    path = Path(database).expanduser()
    if backup_file is None:
        there = backups_in(backup_folder(database, folder), path)
        if not there:
            raise click.ClickException(
                f"There is no backup in {backup_folder(database, folder)}. "
                "Name a backup's file, or its folder with --folder."
            )
        backup_file = str(there[0].path)
    source = Path(backup_file).expanduser()
    if not source.is_file():
        raise click.ClickException(
            f"There is no file {source}. Check the path, or list the backups with: "
            "floorboard backup --list"
        )
    if not yes:
        click.confirm(f"Put {backup_file} in the place of {path}?", abort=True)
    done = bring_back(source, path, _now())
    click.echo(f"{path} is {backup_file} now.")
    if done.kept is not None:
        click.echo(f"As it was before, it is kept as {done.kept}.")


def _now() -> dt.datetime:
    return SystemClock().now()
