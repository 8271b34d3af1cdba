"""`floorboard rotation`: the shortest repeating round, and how many molds keep hands busy."""

from __future__ import annotations

import signal
import sys
import threading
from contextlib import contextmanager
from typing import TYPE_CHECKING

import click

from floorboard.cli.options import database_option, json_option, print_json
from floorboard.cli.shop_source import (
    at_option,
    demo_option,
    piece_called,
    shop_option,
    standing_shop,
)
from floorboard.shop.counted import counted, people_counted
from floorboard.shop.errors import FloorboardError

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from floorboard.planning.keep_busy import KeepBusy
    from floorboard.planning.rotation_draft import RoundTurn, ShopRound
    from floorboard.shop.shop import Shop

# A round of more molds than this keeps one person busier than busy.
MOST_MOLDS = 3


@click.command()
@click.option(
    "--molds",
    "numbers",
    metavar="N,…",
    help="The molds of the round, by number; without it, the first three.",
)
@click.option("--piece", metavar="PIECE", help="Say how many molds of this piece keep hands busy.")
@click.option("--people", type=click.IntRange(1, 20), default=1, show_default=True)
@click.option("--own-mixes", is_flag=True, help="Mix each layer by itself; share no batch.")
@click.option(
    "--seconds",
    type=click.FloatRange(0.1, 3600),
    default=10.0,
    show_default=True,
    help="For how long is searched at most, all rounds together.",
)
@shop_option
@at_option
@demo_option
@json_option
@database_option
def rotation(
    numbers: str | None,
    piece: str | None,
    people: int,
    own_mixes: bool,
    seconds: float,
    shop_file: str | None,
    at: str | None,
    of_demo: bool,
    as_json: bool,
    database: str,
) -> None:
    """Print the shortest round that people can keep: every round the same, minute for minute.

    With --piece, say how many molds of it keep the people busy: by the worker-machine ratio, by
    the shortest rounds there really are, and with mixes shared.
    """
    from floorboard.planning.keep_busy import keep_busy
    from floorboard.planning.shop_rotation import shop_round

    shop = standing_shop(database, shop_file=shop_file, at=at, of_demo=of_demo).shop
    if piece is not None:
        piece = piece_called(shop, piece)
        with _searching(seconds):
            busy = keep_busy(shop, piece, people, seconds=seconds)
        if as_json:
            print_json(busy)
            return
        for line in [busy_head(shop, busy), *busy_lines(busy)]:
            click.echo(line)
        return
    molds = _molds(shop, numbers)
    with _searching(seconds):
        found = shop_round(shop, molds, people, share=not own_mixes, seconds=seconds)
    if as_json:
        print_json(found)
        return
    for line in [*round_head(shop, found.molds, people), *round_lines(shop, found)]:
        click.echo(line)


@contextmanager
def _searching(seconds: float) -> Iterator[None]:
    """Say on a terminal how long is searched, and let Ctrl-C end the command at once.

    While the search runs no handler of Python's own does, so that the system's has to.
    """
    main = threading.current_thread() is threading.main_thread()
    before = signal.signal(signal.SIGINT, signal.SIG_DFL) if main else None
    if sys.stderr.isatty():
        click.echo(f"Searching for at most {seconds:g} s (--seconds).", err=True)
    try:
        yield
    finally:
        if main:
            signal.signal(signal.SIGINT, before)


def _molds(shop: Shop, numbers: str | None) -> list[str]:
    if numbers is None:
        return [key for key, mold in shop.molds.items() if mold.in_service][:MOST_MOLDS]
    molds = []
    for word in numbers.split(","):
        mold = shop.mold_by_number(int(word)) if word.strip().isdigit() else None
        if mold is None or mold in molds:
            raise click.BadParameter(f"found {word!r}, expected the numbers of molds, each once")
        molds.append(mold)
    return molds


def round_head(shop: Shop, molds: Sequence[str], people: int) -> list[str]:
    """Return for whom and for which molds a round is, and how to ask for others."""
    numbers = ", ".join(str(shop.molds[mold].number) for mold in molds)
    word = "mold" if len(molds) == 1 else "molds"
    return [
        f"For {people_counted(people)} (of {len(shop.people)} in the shop) and {word} {numbers} "
        f"(of {len(shop.molds)}).",
        "For others: --people N, --molds N,N,…",
    ]


def busy_head(shop: Shop, busy: KeepBusy) -> str:
    """Return for what piece and how many people the table is, and how to ask for others."""
    name = shop.pieces[busy.piece].name
    people = len(shop.people)
    return (
        f"{name}, for {people_counted(busy.people)} (of {people} in the shop; --people for others)."
    )


def round_lines(shop: Shop, found: ShopRound) -> list[str]:
    """Return a round as lines: who does what at which minute."""
    if found.round_seconds is None:
        raise FloorboardError(_why_none(found))
    proof = "the shortest there is" if found.proved else "the shortest found"
    lines = [
        f"A round of {found.round_seconds / 60:.1f} min, {proof}: "
        f"{found.castings_per_hour:.2f} castings an hour, hands used {found.hands_used:.0%}."
    ]
    for turn in sorted(found.turns, key=lambda turn: turn.start_seconds):
        lines.append(f"  {_turn(shop, turn)}")
    return lines


def _why_none(found: ShopRound) -> str:
    who = people_counted(found.people)
    molds = counted(len(found.molds), "mold")
    if found.impossible:
        return (
            f"No round of {molds} keeps all windows with {who}, however long it "
            "is: this is proved. Take fewer molds, or more people."
        )
    return (
        f"In {found.runtime_seconds:.0f} s no round of {molds} was found that "
        f"{who} can keep; none is shorter than {found.bound_seconds / 60:.1f} min, and whether "
        "there is one is not known. Search longer (--seconds), or take fewer molds."
    )


def _turn(shop: Shop, turn: RoundTurn) -> str:
    minute = f"{turn.start_seconds / 60:6.1f}-{turn.end_seconds / 60:<6.1f} min"
    who = f"person {turn.person}"
    where = f"mold {shop.molds[turn.mold].number}"
    if turn.kind == "layer":
        mix = "from the same batch" if turn.shares_mix else "weigh, mix, apply"
        return f"{minute}  {who}  {where}: layer {turn.index + 1}, {mix}"
    return f"{minute}  {who}  {where}: {turn.kind}"


def busy_lines(busy: KeepBusy) -> list[str]:
    """Return how many molds keep hands busy, as a table and in sentences."""
    lines = [f"{'molds':>5} {'round':>9} {'an hour':>8} {'hands':>6}   {'mixes shared':>12}"]
    for row in busy.rows:
        minutes = f"{row.round_seconds / 60:.1f} min" if row.round_seconds is not None else "none"
        lines.append(
            f"{row.molds:>5} {minutes:>9} {row.castings_per_hour:>8.2f} {row.hands_used:>6.0%}   "
            f"{row.shared_castings_per_hour:>8.2f} an hour"
        )
    return [*lines, *busy.sentences]
