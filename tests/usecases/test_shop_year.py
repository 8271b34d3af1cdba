"""Made-up days through the real log: the report's counts are the shop's own, to the last casting."""

from __future__ import annotations

import datetime as dt
import random

import pytest

from floorboard.shop.shop import Shop
from floorboard.store.history import History
from floorboard.store.sqlite_store import open_store
from floorboard.usecases.demo_day import demo_shop
from floorboard.usecases.keep_log import keep_log
from floorboard.usecases.shop_year import ShopYear
from floorboard.usecases.shop_year_people import Habits
from floorboard.usecases.tally import take_tally
from floorboard.usecases.tally_stretch import of_days

LATER = dt.datetime(2027, 6, 1, tzinfo=dt.UTC)


def open_all_week() -> Shop:
    """The demo shop, open on Sundays too, when clocks change."""
    text = demo_shop().model_dump(mode="json")
    for person in text["people"].values():
        for stretch in (*person["shifts"], *person["breaks"]):
            stretch["days"] = list(range(7))
    return Shop.model_validate(text)


def renamed(shop: Shop) -> Shop:
    piece = shop.pieces["owl"].model_copy(update={"name": "Tawny owl"})
    return shop.model_copy(update={"pieces": {**shop.pieces, "owl": piece}})


def log_days(path, year: ShopYear, days: int, rename_on: dt.date) -> Shop:
    """Write days into a new database; return the shop as it then is."""
    seqs: dict[int, int] = {}
    with open_store(path) as store:

        def load(shop, date):
            at = dt.datetime.combine(date, dt.time(0), dt.UTC)
            store.load_shop(shop, source="", at=at, person=None, station="")
            for build in year.builds.values():
                store.keep_build(build)

        load(year.shop, year.date)
        for _ in range(days):
            if year.date == rename_on:
                year.change_shop(renamed(year.shop))
                load(year.shop, year.date)
            keep_log(store, next(year.days(1)), seqs)
        keep_log(store, year.corrections(), seqs)
    return year.shop


def assert_counts_are_the_truth(path, shop, year, first, last):
    stretch, title = of_days(shop, first, last, LATER)
    with History(path) as history:
        tally = take_tally(history, shop, stretch, title)
    counts = tally.counts.model_dump(exclude={"finished"})
    truth = year.truth.counts(stretch.start, stretch.end)
    assert counts == {name: truth[name] for name in counts}, title
    for line in tally.pieces:
        truth = year.truth.counts(stretch.start, stretch.end, line.piece)
        assert line.counts.model_dump(exclude={"finished"}) == {n: truth[n] for n in counts}
    reasons = {line.reason: (line.rejected, line.sent_back) for line in tally.reasons}
    assert reasons == year.truth.reasons(stretch.start, stretch.end)
    used = {line.person: line.used_minutes * 60 for line in tally.people if line.used_minutes}
    assert used == pytest.approx(year.truth.hands_seconds(stretch.start, stretch.end))
    assert tally.reconciled, [check.sentence for check in tally.checks if not check.holds]
    return tally


def test_a_week_with_a_clock_change_a_day_off_and_a_renaming_is_counted_to_the_last_casting(
    tmp_path,
):
    # Clocks go forward in Lisbon on Sunday 2026-03-29.
    first = dt.date(2026, 3, 26)
    habits = Habits(
        struck_entry=0.03, struck_next_morning=0.05, found_bad_later=0.2,
        days_off=frozenset({dt.date(2026, 3, 28)}),
    )  # fmt: skip
    year = ShopYear(open_all_week(), first, seed=5, habits=habits)
    path = tmp_path / "week.db"
    shop = log_days(path, year, 7, rename_on=dt.date(2026, 3, 30))
    days = [first + dt.timedelta(days=number) for number in range(7)]
    tallies = [assert_counts_are_the_truth(path, shop, year, day, day) for day in days]
    whole = assert_counts_are_the_truth(path, shop, year, days[0], days[-1])
    assert [tally.end - tally.start for tally in tallies][3] == dt.timedelta(hours=23)
    assert whole.counts.begun == sum(tally.counts.begun for tally in tallies)
    assert {line.name for line in whole.pieces} == {p.name for p in shop.pieces.values()}
    assert whole.counts.sent_back
    assert whole.counts.scrapped


@pytest.mark.long
def test_a_year_is_counted_to_the_last_casting_by_days_months_and_as_a_whole(tmp_path):
    first = dt.date(2026, 1, 1)
    off = {dt.date(2026, 1, 1), *(dt.date(2026, 8, day) for day in range(3, 17))}
    year = ShopYear(open_all_week(), first, seed=7, habits=Habits(days_off=frozenset(off)))
    path = tmp_path / "year.db"
    shop = log_days(path, year, 365, rename_on=dt.date(2026, 5, 13))
    assert_counts_are_the_truth(path, shop, year, first, dt.date(2026, 12, 31))
    ends = [dt.date(2026, month + 1, 1) - dt.timedelta(days=1) for month in range(1, 12)]
    for last in (*ends, dt.date(2026, 12, 31)):
        assert_counts_are_the_truth(path, shop, year, last.replace(day=1), last)
    for number in random.Random(1).sample(range(365), 40):
        day = first + dt.timedelta(days=number)
        assert_counts_are_the_truth(path, shop, year, day, day)
