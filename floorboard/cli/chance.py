"""`floorboard chance`: how likely the plan is to come out, and which delay hurts most."""

from __future__ import annotations

from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import click

from floorboard.cli.options import database_option, json_option, print_json
from floorboard.cli.shop_source import at_option, demo_option, shop_option, standing_shop

if TYPE_CHECKING:
    from floorboard.planning.chance import Chance
    from floorboard.shop.shop import Shop


@click.command()
@click.option(
    "--days",
    type=click.IntRange(100, 100_000),
    default=10_000,
    show_default=True,
    help="How many days to simulate.",
)
@click.option("--seed", type=int, default=1, show_default=True, help="For the same days again.")
@shop_option
@at_option
@demo_option
@json_option
@database_option
def chance(
    days: int,
    seed: int,
    shop_file: str | None,
    at: str | None,
    of_demo: bool,
    as_json: bool,
    database: str,
) -> None:
    """Say how likely today's plan is to come out.

    The plan's work is done over and over, each task as long as chance has it, and counted: how many
    castings come out of their molds, which orders are on time, whose delay hurts most.
    """
    from floorboard.planning.chance import chance_of
    from floorboard.planning.planner import plan_shop

    standing = standing_shop(database, shop_file=shop_file, at=at, of_demo=of_demo)
    plan = plan_shop(standing.shop, standing.floor, standing.now)
    found = chance_of(standing.shop, standing.floor, plan, days=days, seed=seed)
    if as_json:
        print_json(found)
        return
    for line in chance_lines(standing.shop, found):
        click.echo(line)


def chance_lines(shop: Shop, found: Chance) -> list[str]:
    """Return the chances as lines."""
    zone = ZoneInfo(shop.shop.zone)
    lines = [
        f"{found.planned} demolded today as planned: {found.chance_of_planned:.0%} likely; "
        f"{found.expected:.1f} on average over {found.days} simulated days."
    ]
    lines += [f"  at least {count.castings:>3}  {count.chance:>6.1%}" for count in found.counts]
    for order in found.orders:
        entry = shop.orders.get(order.order)
        name = (entry.name if entry is not None else None) or order.order
        if order.chance is None:
            lines.append(f"{name}: today's plan does not finish it; its chance is not known yet.")
        else:
            lines.append(f"{name}: {order.wanted} in time  {order.chance:.1%}")
    lines.append(f"Lost to windows and set batches: {found.lost_castings:.2f} castings on average.")
    for hurt in found.hurting:
        who = shop.people[hurt.person].name
        lines.append(
            f"Each minute late with the {hurt.kind} at {hurt.start.astimezone(zone):%H:%M} ({who}) "
            f"costs {hurt.castings_per_hour / 60:.2f} castings."
        )
    return lines
