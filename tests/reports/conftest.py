"""A day's tally of a small real log, for the reports."""

from __future__ import annotations

import datetime as dt

import pytest

from floorboard.floor import events as e
from floorboard.store.history import History
from floorboard.store.sqlite_store import open_store
from floorboard.usecases.tally import take_tally
from floorboard.usecases.tally_stretch import of_days
from tests.store.small_shop import SHOP, START, Bench, minutes


@pytest.fixture(scope="session")
def tally(tmp_path_factory):
    """Two bowls good, a tile scrapped, a bowl begun; names that would be formulas or markup."""
    pieces = {
        **SHOP.pieces,
        "bowl": SHOP.pieces["bowl"].model_copy(update={"name": "<b>Bowl</b>"}),
        "tile": SHOP.pieces["tile"].model_copy(update={"name": '=HYPERLINK("x")'}),
    }
    shop = SHOP.model_copy(update={"pieces": pieces})
    path = tmp_path_factory.mktemp("reports") / "floor.db"
    with open_store(path) as store:
        store.load_shop(shop, source="", at=START, person=None, station="")
        bench = Bench(store)
        bench.cast_bowl("c1")
        bench.cast_bowl("c2", "bowl-2")
        bench.begin("c3", "tile-1")
        bench.log(e.CastingRejected(casting="c3", reason="void", layer=0))
        bench.begin("c4")
    stretch, title = of_days(shop, dt.date(2026, 3, 12), dt.date(2026, 3, 12), minutes(600))
    with History(path) as history:
        return take_tally(history, shop, stretch, title)
