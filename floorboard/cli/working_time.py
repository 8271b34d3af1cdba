"""`floorboard working-time`: from a percentage to minutes, and from minutes to a percentage."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from floorboard.cli.desk_options import (
    desk_source,
    echo_all,
    shop_file_option,
    temperature_option,
)
from floorboard.cli.options import database_option, demo_option, json_option, print_json
from floorboard.cli.quantity_types import QuantityType
from floorboard.shop.quantities import Duration, Percent

if TYPE_CHECKING:
    from collections.abc import Iterator

    from floorboard.mixing.working_time import WorkingTime
    from floorboard.shop.mixes import Mix


@click.command("working-time")
@click.argument("mix")
@click.option("--percent", type=QuantityType(Percent), metavar="PERCENT", help="Of the additive.")
@click.option(
    "--wanted", type=QuantityType(Duration), metavar="TIME", help="A working time, as '10 min'."
)
@temperature_option
@shop_file_option
@demo_option
@json_option
@database_option
def working_time(
    mix: str,
    percent: float | None,
    wanted: float | None,
    temperature: float | None,
    shop_file: str | None,
    of_demo: bool,
    as_json: bool,
    database: str,
) -> None:
    """Say how long a mix can be worked, by the shop's own table and today's temperature.

    With --percent, for another percentage of the additive; with --wanted, the percentage that
    gives the time wanted.

    \b
    floorboard working-time shell
    floorboard working-time shell --percent 3
    floorboard working-time shell --wanted "20 min" --temperature "16 C"
    """
    from floorboard.mixing.working_time import percent_for
    from floorboard.mixing.working_time import working_time as time_of
    from floorboard.usecases.asked_ticket import mix_named

    if percent is not None and wanted is not None:
        raise click.UsageError("Say one of --percent and --wanted.")
    source = desk_source(shop_file, database, of_demo=of_demo)
    found = mix_named(source.shop, mix)
    celsius = source.celsius(temperature)
    if wanted is not None:
        percent = percent_for(found, wanted, celsius)
    answer = time_of(found, percent, celsius)
    if as_json:
        print_json(answer)
        return
    echo_all(_lines(found, answer, celsius))


def _lines(mix: Mix, answer: WorkingTime, celsius: float | None) -> Iterator[str]:
    from floorboard.mixing.working_time import minutes_text
    from floorboard.shop.mixes import WorkingTimeTable

    at = "" if celsius is None else f" at {celsius:g} C"
    with_ = ""
    if answer.percent is not None and isinstance(mix.working_time, WorkingTimeTable):
        with_ = f" with {answer.percent:.3g} % of {mix.working_time.additive}"
    yield f"{mix.name}{with_}{at}: {minutes_text(answer.seconds)} of working time,"
    left = max(0.0, answer.seconds - mix.seconds_wet_to_ready)
    yield (
        f"  of which mixing takes {minutes_text(mix.seconds_wet_to_ready)} and leaves "
        f"{minutes_text(left)} to apply it."
    )
    if answer.cure_seconds is not None:
        yield f"  Partial cure: {minutes_text(answer.cure_seconds)}."
    for remark in answer.remarks:
        yield f"! {remark}"
