"""Stock, traces and costs that follow what is logged at the desk, on a real database."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from pathlib import Path

import pytest

from floorboard.cli.compose import ShopPlanner
from floorboard.floor import events as e
from floorboard.mixing.refusal import MixingError
from floorboard.planning.plan import PlannedBatch, PlannedServing
from floorboard.usecases import stock_changes
from floorboard.usecases.costs import CostBook
from floorboard.usecases.presses import Press
from floorboard.usecases.stock_notes import committed_grams, stock_notes
from floorboard.usecases.traces import trace_casting, trace_lot
from tests.desk_shop import Desk, NoPlans
from tests.usecases.test_weighing import LOTS, begin_batch, stir, weigh


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    found = Desk(tmp_path)
    found.receive(*LOTS)
    yield found
    found.close()


def make(desk: Desk, batch: str) -> None:
    """Weigh, stir and pour a batch, a minute to each key."""
    session = desk.session
    for _ in range(20):
        making = session.batch_in_hand(batch).making
        if making.ready:
            break
        desk.forward(1)
        weigh(desk, batch) if making.next_addition else stir(desk, batch)
    for _ in session.floor.batches[batch].servings:
        session.confirm(session.press_for("ana"))
        desk.forward(4)
    while (press := session.press_for("ana")) is not None:
        session.confirm(press)
        desk.forward(4)


def test_a_lot_is_traced_to_the_castings_of_a_shared_batch_and_back(desk: Desk) -> None:
    batch = begin_batch(desk, "m1", "m2")
    make(desk, batch)
    serials = tuple(casting.serial for casting in desk.session.floor.open_castings())
    found = trace_lot(desk.store, desk.session.shop, "P1")
    assert (found.material, found.batches, found.castings) == ("powder", (batch,), serials)
    back = trace_casting(desk.store, desk.session.shop, serials[0])
    assert [(x.material, x.lot) for x in back.lots] == [
        ("liquid", "L1"),
        ("powder", "P1"),
        ("quick", "Q1"),
        ("glass", "G1"),
    ]


def test_a_trace_goes_through_a_solution_made_up_in_the_shop(desk: Desk) -> None:
    session = desk.session
    desk.receive(("salt", "S9", 1_000.0))
    session.log(
        "ana",
        *stock_changes.make_up(session.shop, session.book, "quick", "quick-1", 520, session.now),
    )
    assert session.book.lot(session.shop, "salt", "S9").on_hand_grams == 960
    session.log("ana", e.StockCounted(material="quick", lot="Q1", grams=0))
    make(desk, begin_batch(desk, "m1"))
    casting = next(session.floor.open_castings()).serial
    found = trace_lot(desk.store, session.shop, "S9", "salt")
    assert [(x.material, x.lot) for x in found.made_up] == [("quick", "quick-1")]
    assert found.castings == (casting,)
    lots = {(x.material, x.lot) for x in trace_casting(desk.store, session.shop, casting).lots}
    assert {("quick", "quick-1"), ("salt", "S9")} <= lots


def test_what_finishing_steps_use_is_traced_to_the_lot_the_account_gives_them(desk: Desk) -> None:
    desk.receive(("wax", "W1", 20.0), ("wax", "W2", 500.0))
    serials = desk.begin("m1", "m2")
    for serial in serials:
        desk.session.log("ana", e.StepDone(castings=(serial,), step=2))
    shop = desk.session.shop
    # 12 g each: W1 gives the first, and 8 g of the second.
    assert trace_lot(desk.store, shop, "W1").castings == tuple(serials)
    assert trace_lot(desk.store, shop, "W2").castings == (serials[1],)
    assert trace_casting(desk.store, shop, serials[0]).lots[0].lot == "W1"


def test_a_finishing_step_ended_by_its_key_names_the_lots_it_used(desk: Desk) -> None:
    desk.receive(("wax", "W1", 500.0))
    (serial,) = desk.begin("m1")
    press = Press("end step", "ana", "m1", (serial,), 2)
    logged = [entry.event for entry in desk.session.confirm(press)]
    assert [event.kind for event in logged] == ["lot opened", "step done"]
    assert logged[1].lots == {"wax": "W1"}
    assert trace_lot(desk.store, desk.session.shop, "W1").castings == (serial,)
    costs = CostBook(desk.store, desk.session.shop, desk.session.book)
    assert costs.casting(serial).steps[0].cost.materials == pytest.approx(0.012 * 10)


def test_an_unknown_lot_or_casting_is_refused_in_a_sentence(desk: Desk) -> None:
    desk.receive(("wax", "P1", 20.0))
    shop = desk.session.shop
    with pytest.raises(MixingError, match="found no lot 'X'"):
        trace_lot(desk.store, shop, "X")
    with pytest.raises(MixingError, match="powder and wax; name the material too"):
        trace_lot(desk.store, shop, "P1")
    with pytest.raises(MixingError, match="found no casting 'X'"):
        trace_casting(desk.store, shop, "X")


def test_a_struck_weighing_gives_its_stock_back(desk: Desk) -> None:
    batch = begin_batch(desk, "m1")
    weigh(desk, batch)
    shop, book = desk.session.shop, desk.session.book
    assert book.lot(shop, "liquid", "L1").on_hand_grams == 9_900
    desk.session.strike_last("ana")
    assert book.lot(shop, "liquid", "L1").on_hand_grams == 10_000
    assert desk.session.batch_in_hand(batch).making.next_addition.addition.material == "liquid"


def test_a_count_holds_whatever_was_drawn_without_naming_a_lot(desk: Desk) -> None:
    desk.receive(("wax", "W1", 100.0))
    (serial,) = desk.begin("m1")
    desk.session.log("ana", e.StepDone(castings=(serial,), step=2))
    desk.forward(1)
    shop, book = desk.session.shop, desk.session.book
    desk.session.log("ana", *stock_changes.count(shop, book, "wax", "W1", 80))
    assert book.lot(shop, "wax", "W1").on_hand_grams == 80
    assert Desk.reopened(desk).session.book.lot(shop, "wax", "W1").on_hand_grams == 80


def test_an_entry_logged_late_is_folded_where_it_happened(desk: Desk) -> None:
    session = desk.session
    session.book.lots(session.shop)
    desk.receive(("wax", "W2", 100.0))
    session.book.lots(session.shop)
    late = e.LotReceived(material="wax", lot="W1", grams=50)
    desk.store.append(
        [(session.now - dt.timedelta(days=2), late)],
        logged_at=session.now,
        person=None,
        station="",
    )
    assert [lot.lot for lot in session.book.lots(session.shop) if lot.material == "wax"] == [
        "W1",
        "W2",
    ]


def test_what_the_plan_will_find_short_is_said_with_the_plan(desk: Desk) -> None:
    session = desk.session
    session.log("ana", *stock_changes.count(session.shop, session.book, "glass", "G1", 10))
    casting = desk.begin("m1")[0]
    plan = NoPlans().plan(session.shop, session.floor, session.now)
    batch = PlannedBatch(
        id="b",
        mix="shell",
        person="ana",
        start=session.now,
        wet=session.now,
        ready=session.now,
        end=session.now,
        grams=323,
        servings=(PlannedServing(casting=casting, layer=0, grams=323),),
    )
    plan = plan.model_copy(update={"batches": (batch,)})
    assert committed_grams(session.shop, session.floor, plan) == {
        "liquid": pytest.approx(100),
        "powder": pytest.approx(200),
        "quick": pytest.approx(5),
        "glass": pytest.approx(18),
    }
    notes = stock_notes(session.book, session.shop, session.floor, plan, session.now)
    assert any("Chopped glass: the plan takes 18 g and 10 g are on hand" in note for note in notes)


def test_a_better_plan_found_later_keeps_the_warning_of_the_stock(tmp_path: Path) -> None:
    desk = Desk(tmp_path, planner=ShopPlanner())
    desk.receive(("powder", "P1", 50.0))
    session = desk.session
    plan = session.replan()
    assert any("Powder A: the plan takes" in note for note in plan.notes)
    assert "g short" in session.stock_warning
    assert session.adopt(plan.model_copy(update={"notes": (), "engine": "better"}))
    assert session.stock_warning in session.plan.notes
    desk.close()


def test_of_a_batch_in_hand_the_plan_takes_only_what_is_not_in_yet(desk: Desk) -> None:
    batch = begin_batch(desk, "m1")
    weigh(desk, batch)
    session = desk.session
    plan = NoPlans().plan(session.shop, session.floor, session.now)
    planned = PlannedBatch(
        id=batch,
        mix="shell",
        person="ana",
        start=session.now,
        wet=session.now,
        ready=session.now,
        end=session.now,
        grams=323,
        servings=(PlannedServing(casting="x", layer=0, grams=323),),
        fixed=True,
    )
    taken = committed_grams(
        session.shop, session.floor, plan.model_copy(update={"batches": (planned,)})
    )
    assert taken["liquid"] == pytest.approx(0)
    assert taken["powder"] == pytest.approx(200)


def test_a_casting_bears_its_share_of_its_batch_and_of_the_hands(desk: Desk) -> None:
    session = desk.session
    batch = begin_batch(desk, "m1", "m2")
    make(desk, batch)
    costs = CostBook(desk.store, session.shop, session.book)
    one, other = (costs.casting(c.serial) for c in session.floor.open_castings())
    # 400 g powder at 2, 200 g liquid at 8, 10 g stock of 7.69 % salt at 20, 36 g glass at 5 a kg.
    materials = 0.4 * 2 + 0.2 * 8 + 0.010 * (40 / 520) * 20 + 0.036 * 5
    assert one.layers[0].cost.materials == pytest.approx(materials / 2)
    # 18 an hour: seven keys of a minute each for the batch, shared.
    assert costs.batch(batch).hands == pytest.approx(18 * 7 / 60)
    assert one.layers[0].cost.total + other.layers[0].cost.total > costs.batch(batch).total
    assert one.whole.materials == one.layers[0].cost.materials


def test_scrap_is_added_up_by_reason_with_what_it_had_cost(desk: Desk) -> None:
    session = desk.session
    make(desk, begin_batch(desk, "m1", "m2"))
    serials = [c.serial for c in session.floor.open_castings()]
    for serial in serials:
        session.log("ana", e.CastingRejected(casting=serial, reason="void"))
    costs = CostBook(desk.store, session.shop, session.book)
    (line,) = costs.scrap(serials)
    assert (line.reason, line.castings) == ("void", 2)
    assert line.cost.total == pytest.approx(sum(costs.casting(s).whole.total for s in serials))


def test_a_lost_batch_costs_what_went_into_it(desk: Desk) -> None:
    session = desk.session
    batch = begin_batch(desk, "m1")
    weigh(desk, batch)
    session.log("ana", e.BatchLost(batch=batch))
    lost = desk.store.stock.batches_lost(session.now, session.now + dt.timedelta(seconds=1))
    assert lost == [batch]
    costs = CostBook(desk.store, session.shop, session.book)
    assert costs.lost(lost).materials == pytest.approx(0.1 * 8)


def test_the_lots_own_price_comes_before_the_materials(desk: Desk) -> None:
    session = desk.session
    session.log("ana", e.StockCounted(material="liquid", lot="L1", grams=0))
    session.log("ana", *stock_changes.receive(session.shop, "liquid", "L2", 1000, cost=12.0))
    batch = begin_batch(desk, "m1")
    weigh(desk, batch)
    costs = CostBook(desk.store, session.shop, session.book)
    assert costs.batch(batch).materials == pytest.approx(0.1 * 12)


def test_days_left_and_the_point_to_order_come_from_what_was_drawn(desk: Desk) -> None:
    session = desk.session
    for day in range(10):
        session.log("ana", e.StockWasted(material="powder", lot="P1", grams=500))
        desk.forward(24 * 60)
        assert day < 10
    (line,) = [
        x for x in session.book.lines(session.shop, {}, session.now) if x.material == "powder"
    ]
    assert line.on_hand_grams == 20_000
    assert line.grams_a_day == pytest.approx(500)
    assert line.days_left == pytest.approx(40)
    assert line.reorder_at_grams == 5_000


@pytest.mark.parametrize(
    ("act", "why"),
    [
        (lambda s, b: stock_changes.receive(s, "gold", "G", 1), "no material of the shop"),
        (lambda s, b: stock_changes.receive(s, "powder", " ", 1), "a name of 1 to 80"),
        (lambda s, b: stock_changes.receive(s, "powder", "P2", 0), "more than nothing"),
        (lambda s, b: stock_changes.receive(s, "powder", "P\x1b2", 5), "control characters"),
        (lambda s, b: stock_changes.open_lot(s, b, "powder", "P9"), "expected one of: P1"),
        (lambda s, b: stock_changes.count(s, b, "powder", "P1", -1), "expected nothing or more"),
        (
            lambda s, b: stock_changes.make_up(s, b, "powder", "x", 9, dt.datetime.now(dt.UTC)),
            "no stock solution; expected one of: quick",
        ),
        (
            lambda s, b: stock_changes.make_up(s, b, "quick", "Q1", 9, dt.datetime.now(dt.UTC)),
            "give this one another name",
        ),
    ],
)
def test_stock_that_makes_no_sense_is_refused_in_a_sentence(desk: Desk, act, why) -> None:
    with pytest.raises(MixingError, match=why):
        act(desk.session.shop, desk.session.book)


def test_opening_twice_is_refused_and_says_since_when(desk: Desk) -> None:
    session = desk.session
    session.log("ana", *stock_changes.open_lot(session.shop, session.book, "powder", "P1"))
    with pytest.raises(MixingError, match="open since 2026-03-02"):
        stock_changes.open_lot(session.shop, session.book, "powder", "P1")
