"""Walls laid thinner from one day on are found in the log as soon as the chart can find them."""

from __future__ import annotations

import datetime as dt

from floorboard.records.run_lengths import ewma_run_length, rules_run_length
from floorboard.records.weight_drift import EWMA_SMOOTHING, EWMA_WIDTH
from floorboard.store.history import History
from floorboard.store.sqlite_store import open_store
from floorboard.usecases.keep_log import keep_log
from floorboard.usecases.quality import take_quality
from floorboard.usecases.shop_year import ShopYear
from floorboard.usecases.shop_year_people import Habits
from tests.tiny_shop import tiny_shop

FIRST = dt.date(2026, 3, 2)
THIN = dt.date(2026, 3, 10)
BASELINE = 60
# Layers of 300 g and 450 g, each 6 % uncertain: 4.3 % of the whole.
SPREAD = 0.06
SIGMA_SHARE = SPREAD * (300**2 + 450**2) ** 0.5 / 750


def test_walls_eight_per_cent_thinner_are_caught_within_the_charts_known_run_length(tmp_path):
    # A shift of 1.85 sigma. Average run lengths there, by Champ & Woodall (1987) for the Western
    # Electric rules and Crowder (1987) for the EWMA, are under five castings.
    shift = 0.08 / SIGMA_SHARE
    by_average = ewma_run_length(shift, smoothing=EWMA_SMOOTHING, width=EWMA_WIDTH)
    assert rules_run_length(shift).mean < 5
    assert by_average.mean < 5
    habits = Habits(
        layer_spread=SPREAD, thin_from=THIN, thin_by=0.08, impossible_weight=0, person_away=0
    )
    shop = tiny_shop()
    year = ShopYear(shop, FIRST, seed=11, habits=habits)
    path = tmp_path / "floor.db"
    with open_store(path) as store:
        at = dt.datetime.combine(FIRST, dt.time(0), dt.UTC)
        store.load_shop(shop, source="", at=at, person=None, station="")
        store.keep_build(year.builds["bowl"])
        seqs: dict[int, int] = {}
        for lines in year.days(9):
            keep_log(store, lines, seqs)
    with History(path) as history:
        report = take_quality(history, shop, FIRST, THIN, BASELINE)
    chart = report.pieces[0].chart
    weights = {serial: grams for _, serial, grams in year.truth.weights}
    assert {point.casting: point.grams for point in chart.points} == weights
    thin = [n for n, point in enumerate(chart.points) if point.casting.startswith("260310")]
    assert thin[0] > BASELINE
    found = next(n for n in thin if chart.points[n].signals)
    assert found - thin[0] + 1 <= by_average.castings_for(0.99)
    assert chart.direction == "light"
    assert "are light" in report.sentences[0] or "run light" in report.sentences[0]
