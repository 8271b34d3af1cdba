"""Which shop a planning command is about: the database's, a file's, or the demo's."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import click

from floorboard.cli.options import demo_option
from floorboard.cli.past import floor_of_demo_or_database
from floorboard.shop.names import key_called

if TYPE_CHECKING:
    import datetime as dt

    from floorboard.floor.floor import Floor
    from floorboard.planning.plan import Plan
    from floorboard.shop.shop import Shop
    from floorboard.usecases.planner_with_past import PastInUse

__all__ = [
    "Standing",
    "at_option",
    "demo_option",
    "piece_called",
    "shop_option",
    "standing_shop",
]

shop_option = click.option(
    "--shop",
    "shop_file",
    metavar="FILE",
    type=click.Path(exists=True, dir_okay=False),
    help="A shop file, all molds empty, no database.",
)
at_option = click.option(
    "--at", metavar="TIME", help="As of this local time, such as '2026-03-12 07:30'."
)


@dataclass(frozen=True, slots=True)
class Standing:
    """A shop, its floor as it stands, and the moment it is looked at."""

    shop: Shop
    floor: Floor
    now: dt.datetime
    past: PastInUse | None = None

    def told(self, plan: Plan) -> Plan:
        """Return a plan whose orders count what was finished already."""
        return self.past.told(plan) if self.past is not None else plan


def standing_shop(
    database: str, *, shop_file: str | None, at: str | None, of_demo: bool
) -> Standing:
    """Return the shop that was asked for, as it stands; the database's with what its past tells.

    Raises
    ------
    floorboard.shop.errors.FloorboardError
        In a sentence, if the file or the database cannot be used.
    """
    from floorboard.cli.moments import moment_of
    from floorboard.floor.clock import SystemClock
    from floorboard.floor.floor import Floor
    from floorboard.shop.file import read_shop_file

    if shop_file is not None:
        shop, floor, now = read_shop_file(Path(shop_file)), Floor(), SystemClock().now()
    else:
        shop, floor, now = floor_of_demo_or_database(database, of_demo=of_demo)
    now = moment_of(at, shop) if at else now
    if shop_file is not None or of_demo:
        return Standing(shop, floor, now)
    from floorboard.cli.compose import past_in_use

    past = past_in_use(Path(database).expanduser())
    return Standing(past.shop(shop, floor, now), floor, now, past)


def piece_called(shop: Shop, said: str) -> str:
    """Return the id of the piece that goes by this id or name.

    Raises
    ------
    click.BadParameter
        Naming the pieces there are, if none does.
    """
    piece = key_called(shop.pieces, said)
    if piece not in shop.pieces:
        known = ", ".join(shop.pieces)
        raise click.BadParameter(f"there is no piece {said!r}; expected one of: {known}")
    return piece
