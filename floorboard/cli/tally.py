"""`floorboard tally`: the counts of a day, a range of days, a shift or an order."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from floorboard.cli.new_files import write_new
from floorboard.cli.options import database_option, demo_option, json_option, print_json

if TYPE_CHECKING:
    import datetime as dt

    from floorboard.mixing.weight_text import Units
    from floorboard.records.quality_model import QualityReport
    from floorboard.records.tally_model import Tally
    from floorboard.records.tally_past import Stretch
    from floorboard.shop.shop import Shop


@click.command()
@click.option("--day", metavar="DATE", help="A local day, such as 2026-03-12. Today by default.")
@click.option("--from", "first", metavar="DATE", help="First day of a range.")
@click.option("--to", "last", metavar="DATE", help="Last day of a range; today by default.")
@click.option("--week", is_flag=True, help="The week at hand, from Monday.")
@click.option("--shift", is_flag=True, help="The shift at hand, or the last one.")
@click.option("--order", metavar="ORDER", help="All castings begun for one order.")
@demo_option
@json_option
@click.option("--csv", "as_csv", is_flag=True, help="Print CSV: a line a count.")
@click.option("--html", metavar="FILE", help="Write one page with charts; it prints on one sheet.")
@click.option("--xlsx", metavar="FILE", help="Write a workbook, a sheet a table.")
@click.option("--force", is_flag=True, help="Write over a file that is there.")
@database_option
def tally(
    day: str | None,
    first: str | None,
    last: str | None,
    week: bool,
    shift: bool,
    order: str | None,
    of_demo: bool,
    as_json: bool,
    as_csv: bool,
    html: str | None,
    xlsx: str | None,
    force: bool,
    database: str,
) -> None:
    """Print the counts of a day: wanted, begun, demolded, good, scrapped and why, what is left.

    Days are local days of the shop. Good means the whole finishing route is done and the casting
    was not rejected; what is carried over is listed with where it stands.
    """
    chosen = [bool(day), bool(first or last), week, shift, bool(order)]
    if sum(chosen) > 1:
        raise click.UsageError("Give one of --day, --from and --to, --week, --shift or --order.")
    asked = {"day": day, "first": first, "last": last, "week": week, "shift": shift, "order": order}
    taken, quality, units = take(database, of_demo=of_demo, with_quality=html is not None, **asked)
    if html is not None:
        from floorboard.reports.day_page import day_page

        write_new(html, day_page(taken, quality, units).encode(), force=force)
    if xlsx is not None:
        from floorboard.reports.tally_xlsx import tally_xlsx

        write_new(xlsx, tally_xlsx(taken), force=force)
    if html is not None or xlsx is not None:
        return
    if as_json:
        print_json(taken)
    elif as_csv:
        from floorboard.reports.tally_csv import tally_csv

        click.echo(tally_csv(taken), nl=False)
    else:
        from floorboard.usecases.tally_text import tally_lines

        for line in tally_lines(taken, units):
            click.echo(line)


def take(
    database: str,
    *,
    of_demo: bool = False,
    with_quality: bool = False,
    **asked: Any,
) -> tuple[Tally, QualityReport | None, Units]:
    """Take a tally of a database, or of the demo shop's day, and what goes with it on a page.

    Parameters
    ----------
    asked
        Which stretch: `day`, `first` and `last`, `week`, `shift` or `order`.
    """
    import datetime as dt

    from floorboard.cli.past import of_demo_or_database
    from floorboard.cli.report_files import CHART_DAYS
    from floorboard.shop.names import key_called
    from floorboard.usecases.quality import take_quality
    from floorboard.usecases.tally import take_tally

    with of_demo_or_database(database, of_demo=of_demo) as (shop, history, now):
        if (order := asked.get("order")) is not None:
            asked["order"] = key_called(shop.orders, order)
        stretch, title = _stretch(shop, now, **asked)
        taken = take_tally(history, shop, stretch, title, asked.get("order"))
        quality = None
        if with_quality:
            begin = taken.last_day - dt.timedelta(days=CHART_DAYS)
            quality = take_quality(history, shop, begin, taken.last_day)
    return taken, quality, shop.shop.units


def _stretch(
    shop: Shop,
    now: dt.datetime,
    *,
    day: str | None = None,
    first: str | None = None,
    last: str | None = None,
    week: bool = False,
    shift: bool = False,
    order: str | None = None,
) -> tuple[Stretch, str]:
    import datetime as dt

    from floorboard.cli.moments import day_of
    from floorboard.shop.calendar import shop_day
    from floorboard.usecases import tally_stretch

    today = shop_day(now, shop.shop.zone).date
    if order is not None:
        return tally_stretch.of_order(shop, order, now)
    if shift:
        return tally_stretch.of_shift(shop, now)
    begin = end = day_of(day) if day else today
    if week:
        begin = today - dt.timedelta(days=today.weekday())
    elif first or last:
        end = day_of(last) if last else today
        begin = day_of(first) if first else end
    if end < begin:
        raise click.BadParameter(f"the range ends on {end}, before it begins on {begin}")
    return tally_stretch.of_days(shop, begin, end, now)
