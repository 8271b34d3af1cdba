"""`floorboard what-if`: castings a shift and cost a casting, supposing something else."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from floorboard.cli.options import database_option, json_option, print_json
from floorboard.cli.shop_source import at_option, demo_option, shop_option, standing_shop

if TYPE_CHECKING:
    from floorboard.planning.whatif import WhatIf

BAR_WIDTH = 30


def _numbers(_ctx: click.Context, _param: click.Parameter, text: str | None) -> list[float]:
    """Read "3,4,6" or "3-6"."""
    if not text:
        return []
    values: list[float] = []
    for word in text.split(","):
        first, dash, last = word.strip().partition("-")
        try:
            low, high = float(first), float(last if dash else first)
        except ValueError:
            raise click.BadParameter(
                f"found {word!r}, expected numbers such as '3,4,6' or '3-6'"
            ) from None
        if not 0 < low <= high <= 1e6 or high - low > 50:
            raise click.BadParameter(f"found {word!r}, expected a short rising range above nothing")
        values += [low + step for step in range(int(high - low) + 1)]
    return values


@click.command("what-if")
@click.option(
    "--molds", callback=_numbers, metavar="N,…", help="Molds in all, such as 4,6,8 or 4-8."
)
@click.option("--people", callback=_numbers, metavar="N,…", help="People in all.")
@click.option(
    "--accelerator", callback=_numbers, metavar="%,…", help="Per cent of the accelerator."
)
@click.option("--bucket", callback=_numbers, metavar="KG,…", help="What the bucket holds, in kg.")
@click.option(
    "--seconds",
    type=click.FloatRange(0, 600),
    default=0.5,
    show_default=True,
    help="For about how long each day's plan is bettered; the same plan comes of a busy machine.",
)
@shop_option
@at_option
@demo_option
@json_option
@database_option
def what_if(
    molds: list[float],
    people: list[float],
    accelerator: list[float],
    bucket: list[float],
    seconds: float,
    shop_file: str | None,
    at: str | None,
    of_demo: bool,
    as_json: bool,
    database: str,
) -> None:
    """Say what other molds, people, accelerator or buckets would bring.

    Each line supposes one thing changed and plans the days that would follow, orders left aside:
    castings a shift, the share of the hands' time used, and cost a casting.
    """
    from floorboard.planning.scenario import Scenario
    from floorboard.planning.whatif import along
    from floorboard.planning.whatif import what_if as answer

    standing = standing_shop(database, shop_file=shop_file, at=at, of_demo=of_demo)
    scenarios = [Scenario(name="as it is")]
    scenarios += along("molds", molds)
    scenarios += along("people", people)
    scenarios += along("accelerator_percent", accelerator)
    scenarios += along("largest_batch_grams", [kg * 1000 for kg in bucket])
    if len(scenarios) == 1:
        count = len(standing.shop.molds)
        scenarios += along("molds", [max(1, count - 1), count + 1, count + 2])
        scenarios += along("people", [len(standing.shop.people) + 1])
    found = answer(standing.shop, standing.now, scenarios, seconds=seconds)
    if as_json:
        print_json(found)
        return
    for line in what_if_lines(found):
        click.echo(line)


def what_if_lines(found: WhatIf) -> list[str]:
    """Return the table with a bar for each line's castings, then what it says."""
    most = max((row.castings_per_shift for row in found.rows), default=0) or 1
    lines = [f"{'':<22} {'a shift':>8} {'hands':>6} {'a casting':>12}"]
    for row in found.rows:
        cost = f"{row.cost_per_casting:.2f} {found.currency}" if row.cost_per_casting else "-"
        bar = "#" * round(BAR_WIDTH * row.castings_per_shift / most)
        lines.append(
            f"{row.name:<22} {row.castings_per_shift:>8.1f} {row.hands_used:>6.0%} {cost:>12}  {bar}"
        )
    return [*lines, *found.sentences]
