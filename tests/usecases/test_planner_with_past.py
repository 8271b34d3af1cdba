"""The planner knows the past: learned times, decisions, and what orders have had already."""

from __future__ import annotations

import pytest

from floorboard.floor import events as e
from floorboard.planning.plan import empty_plan
from floorboard.store.history import History
from floorboard.store.sqlite_store import open_store
from floorboard.usecases.changes import Hand
from floorboard.usecases.learned_shop import with_times
from floorboard.usecases.planner_with_past import BettererWithPast, PastInUse, PlannerWithPast
from floorboard.usecases.times import NoSuchTask, decide, take_times
from tests.store.small_shop import SHOP, START, Bench, minutes

NOW = minutes(600)


@pytest.fixture
def bench(tmp_path):
    """A bench where nine tiles were demolded, 5 min each instead of the shop's own 2."""
    with open_store(tmp_path / "floor.db") as store:
        store.load_shop(SHOP, source="", at=START, person=None, station="")
        bench = Bench(store)
        for number in range(9):
            serial = f"t{number}"
            bench.begin(serial, "tile-1")
            bench.log(e.MoldReadied(casting=serial))
            bench.log(e.LayerApplied(casting=serial, layer=0))
            bench.log(e.DemoldBegun(casting=serial))
            bench.minute += 4
            bench.log(e.Demolded(casting=serial))
        yield bench


class KeepsWhatItIsGiven:
    """A planner, and a betterer, that keeps the shop it is asked to plan."""

    def plan(self, shop, floor, now, previous=None):
        self.shop = shop
        return empty_plan(now, now, floor.last_seq)

    def start(self, shop, floor, now, plan):
        self.shop = shop


def planned(bench, now=NOW):
    past = PastInUse(lambda: History(bench.store.path))
    planner = KeepsWhatItIsGiven()
    PlannerWithPast(planner, past).plan(SHOP, bench.store.floor(), now)
    return planner.shop


def test_the_plan_takes_learned_times_and_the_shop_keeps_its_own(bench):
    assert planned(bench).pieces["tile"].demold == pytest.approx(300)
    assert SHOP.pieces["tile"].demold == 120
    assert planned(bench).pieces["bowl"] == SHOP.pieces["bowl"]


def test_a_decision_in_the_log_gives_the_shops_own_time_back(bench):
    hand = Hand("ana", "east", NOW, NOW)
    decide(bench.store, SHOP, hand, "demold tile", "stated")
    assert planned(bench).pieces["tile"].demold == 120
    with History(bench.store.path) as history:
        line = next(t for t in take_times(history, SHOP, NOW).times if t.task == "demold tile")
    assert (line.uses, line.learned_minutes) == ("stated", pytest.approx(5))
    bench.strike(bench.store.last_seq())
    assert planned(bench).pieces["tile"].demold == pytest.approx(300)


def test_a_decision_on_an_unknown_task_is_refused_in_a_sentence(bench):
    with pytest.raises(NoSuchTask, match="no task 'demold vase'"):
        decide(bench.store, SHOP, Hand("ana", "east", NOW, NOW), "demold vase", "stated")


def test_orders_ask_only_for_what_is_not_finished_already(bench):
    # Nine tiles of the four that Monday's order wants; the floor of a new session holds none.
    with open_store(bench.store.path, read_only=True) as store:
        floor = store.floor()
        past = PastInUse(lambda: History(store.path))
        shop = past.shop(SHOP, floor, NOW)
    assert (shop.orders["monday"].quantity, shop.orders["friday"].quantity) == (0, 4)


def test_a_casting_the_floor_still_holds_is_left_to_the_planner_to_count(bench):
    floor = bench.store.floor()
    held = [c.serial for c in floor.castings.values() if c.finished_at is not None]
    shop = PastInUse(lambda: History(bench.store.path)).shop(SHOP, floor, NOW)
    assert shop.orders["monday"].quantity == max(0, 4 - (9 - len(held)))


def test_plans_are_bettered_with_the_shop_they_were_made_with(bench):
    past = PastInUse(lambda: History(bench.store.path))
    keeper = KeepsWhatItIsGiven()
    PlannerWithPast(KeepsWhatItIsGiven(), past).plan(SHOP, bench.store.floor(), NOW)
    BettererWithPast(keeper, past).start(SHOP, bench.store.floor(), NOW, None)
    assert keeper.shop is past.last(SHOP)
    other = SHOP.model_copy()
    assert past.last(other) is other


def test_what_was_learned_of_a_batch_goes_into_its_weighing(bench):
    with History(bench.store.path) as history:
        line = next(t for t in take_times(history, SHOP, NOW).times if t.task == "batch grey")
    learned = line.model_copy(update={"uses": "learned", "planned_minutes": 4.0})
    mix = with_times(SHOP, [learned]).mixes["grey"]
    # Its own: 1 min of weighing and 1.5 min of mixing.
    assert (mix.weigh, mix.making_seconds) == (150, 240)
