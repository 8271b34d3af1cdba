"""What the report on molds reads of the past."""

from __future__ import annotations

import datetime as dt

import pytest

from floorboard.floor import events as e
from floorboard.store.history import History
from floorboard.store.sqlite_store import open_store
from floorboard.usecases.molds import take_molds
from tests.store.small_shop import SHOP, START, Bench


def test_the_rate_of_a_young_log_is_that_of_its_own_days_but_never_of_less_than_a_week(tmp_path):
    path = tmp_path / "floor.db"
    with open_store(path) as store:
        store.load_shop(SHOP, source="", at=START, person=None, station="")
        bench = Bench(store)
        for number in range(14):
            bench.begin(f"t{number}", "tile-1")
            bench.log(e.MoldReadied(casting=f"t{number}"))
            bench.log(e.LayerApplied(casting=f"t{number}", layer=0))
            bench.log(e.Demolded(casting=f"t{number}"))

    def rate(days):
        with History(path) as history:
            report = take_molds(history, SHOP, START + dt.timedelta(days=days))
        return next(line.pulls_a_day for line in report.molds if line.mold == "tile-1")

    assert rate(2) == pytest.approx(14 / 7)
    assert rate(14) == pytest.approx(14 / 14)
    assert rate(27) == pytest.approx(14 / 27)
