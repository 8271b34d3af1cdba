import datetime as dt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floorboard.mixing.batch import batch_for
from floorboard.mixing.stock import (
    Count,
    Draw,
    Opening,
    Receipt,
    account_of,
    pick,
    usual_grams_a_day,
)
from floorboard.mixing.stock_outlook import committed_by, stock_lines
from tests.mixing.mixes import MATERIALS, material, mix

START = dt.datetime(2026, 3, 2, 8, tzinfo=dt.UTC)


def day(days: float) -> dt.datetime:
    return START + dt.timedelta(days=days)


def came(lot: str, grams: float, at: float = 0, expires: float | None = None) -> Receipt:
    return Receipt(day(at), "powder-a", lot, grams, None if expires is None else day(expires))


def used(grams: float, at: float, lot: str | None = None, batch: str | None = "b1") -> Draw:
    return Draw(day(at), "powder-a", grams, lot, batch)


def held(account, lot: str) -> float:
    return account.lot("powder-a", lot).on_hand_grams


def test_a_draw_without_a_lot_takes_the_lot_that_expires_first() -> None:
    account = account_of(
        [came("late", 500, expires=90), came("soon", 300, at=1, expires=30), used(400, 2)],
        MATERIALS,
    )
    assert (held(account, "soon"), held(account, "late")) == (0, 400)
    assert [(draw.lot, draw.grams) for draw in account.draws] == [("soon", 300), ("late", 100)]
    assert account.sentences == []


def test_an_expired_lot_is_never_picked_and_its_use_is_said() -> None:
    lots = [came("old", 500, expires=5), came("new", 500, at=1, expires=50)]
    account = account_of(lots, MATERIALS)
    assert pick(account, "powder-a", 600, day(10)).takes == (("new", 500),)
    assert pick(account, "powder-a", 600, day(10)).short_grams == 100
    used_anyway = account_of([*lots, used(50, 10, "old")], MATERIALS)
    assert used_anyway.sentences == [
        "powder-a lot old was used after it expired on 2026-03-07: 50 g."
    ]


def test_shelf_life_counts_from_receipt_and_open_life_from_opening() -> None:
    keeps = {"powder-a": material("powder", shelf_life="60 days", open_life="10 days")}
    sealed = account_of([came("one", 500)], keeps)
    assert sealed.lot("powder-a", "one").expires_at == day(60)
    opened = account_of([came("one", 500), Opening(day(3), "powder-a", "one")], keeps)
    assert opened.lot("powder-a", "one").expires_at == day(13)
    late = account_of([came("one", 500), Opening(day(55), "powder-a", "one")], keeps)
    assert late.lot("powder-a", "one").expires_at == day(60)


def test_a_count_puts_the_account_right() -> None:
    records = [came("one", 500), used(100, 1), Count(day(2), "powder-a", "one", 380), used(80, 3)]
    assert held(account_of(records, MATERIALS), "one") == 300


def test_what_a_lot_cannot_have_given_is_said() -> None:
    account = account_of([came("one", 50), used(80, 1), used(5, 2, "two")], MATERIALS)
    assert account.sentences == [
        "powder-a lot one gave 30 g more than it held: count it.",
        "powder-a lot two was drawn from and never received: note its receipt.",
    ]


def test_water_from_the_tap_is_never_short() -> None:
    account = account_of([Draw(day(1), "tap-water", 900, batch="b1")], MATERIALS)
    assert account.sentences == []
    assert stock_lines(account, MATERIALS, {"tap-water": 99}, day(2)) == ()


def test_the_usual_rate_counts_waste_and_only_the_days_there_were() -> None:
    draws = [used(700, 1), used(300, 4, batch=None), used(9000, -40)]
    assert usual_grams_a_day(draws, "powder-a", day(6)) == pytest.approx(1000 / 5)
    assert usual_grams_a_day(draws, "powder-a", day(29)) == pytest.approx(1000 / 28)
    assert usual_grams_a_day([used(100, 0)], "powder-a", day(0.1)) == 100
    assert usual_grams_a_day([], "powder-a", day(6)) == 0


def test_the_plan_is_told_what_is_short_expired_and_to_be_ordered() -> None:
    materials = {
        **MATERIALS,
        "powder-a": material("powder", name="Powder A", reorder_at="2 kg", lead_time="7 days"),
    }
    records = [
        came("old", 400, at=-30, expires=-1),
        came("soon", 500, at=-5, expires=0.5),
        came("new", 1000, at=-5, expires=80),
        used(700, -3),
    ]
    committed = committed_by([batch_for(mix(), MATERIALS, 1500) for _ in range(2)])
    assert committed == {"powder-a": 2000, "liquid-b": 1000}
    account = account_of(records[:3], materials)
    (line,) = stock_lines(account, materials, committed, day(0), plan_ends=day(1))
    assert (line.on_hand_grams, line.expired_grams, line.free_grams) == (1500, 400, -500)
    assert line.order_now
    assert (line.next_lot, line.next_expiry) == ("soon", day(0.5))
    assert line.days_left is None
    assert line.remarks == (
        "Powder A: lot old expired on 2026-03-01; its 400 g are not counted.",
        "Powder A: the plan takes 2000 g and 1500 g are on hand, 500 g short.",
        "Powder A: lot soon expires on 2026-03-02, before the plan has drawn from it to the end.",
        "Order Powder A; it takes 7 days to come.",
    )
    (drawn,) = stock_lines(account_of(records, materials), materials, {}, day(0))
    assert drawn.days_left == pytest.approx(drawn.on_hand_grams / (700 / 3))


def test_a_reorder_point_that_was_worked_out_comes_before_the_shop_s_own() -> None:
    # Russell & Taylor, Operations Management: 30 a day, lead 10 days, sigma 5, z 1.65: 326.1.
    account = account_of([came("one", 330)], MATERIALS)
    for taken, order in ((0, False), (10, True)):
        (line,) = stock_lines(
            account,
            MATERIALS,
            {"powder-a": taken},
            day(1),
            reorder_points={"powder-a": 326.1},
        )
        assert line.order_now is order


lots = st.lists(st.tuples(st.integers(1, 900), st.integers(1, 60)), min_size=1, max_size=6)


@settings(max_examples=60, deadline=None)
@given(lots, st.lists(st.tuples(st.integers(1, 300), st.floats(0, 20)), max_size=12))
def test_what_came_in_is_on_hand_or_drawn(received, drawn) -> None:
    records = [came(f"l{n}", grams, -1, days) for n, (grams, days) in enumerate(received)]
    account = account_of([*records, *(used(grams, at) for grams, at in drawn)], MATERIALS)
    assert sum(draw.grams for draw in account.draws) == pytest.approx(sum(g for g, _ in drawn))
    for lot in account.lots_of("powder-a"):
        given_out = sum(draw.grams for draw in account.draws if draw.lot == lot.lot)
        assert lot.on_hand_grams == pytest.approx(max(0, lot.received_grams - given_out))
    if not account.sentences:
        whole = sum(grams for grams, _ in received) - sum(grams for grams, _ in drawn)
        assert sum(lot.on_hand_grams for lot in account.lots_of("powder-a")) == pytest.approx(whole)
