import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorboard.records.stock_math import reorder_point, stock_outlook, usual_use_per_day

amounts = st.floats(0, 1e5)


def test_the_reorder_point_is_that_of_the_textbook() -> None:
    # Russell & Taylor, Operations Management: 30 a day, sigma 5, lead 10 days, z 1.65.
    point = reorder_point(30, 5, 10, 1.65)
    assert point.safety_stock == pytest.approx(26.1, abs=0.05)
    assert point.reorder_at == pytest.approx(326.1, abs=0.05)


def test_a_lead_time_that_varies_asks_for_more_stock() -> None:
    # sqrt(10 x 5^2 + 30^2 x 2^2) = sqrt(3850) = 62.05; by 1.65: 102.4.
    assert reorder_point(30, 5, 10, 1.65, sigma_lead_days=2).safety_stock == pytest.approx(
        102.4, abs=0.05
    )


@given(amounts, amounts, st.floats(0, 100), st.floats(0, 4))
def test_more_caution_never_orders_later(use, sigma, lead, score) -> None:
    point = reorder_point(use, sigma, lead, score)
    assert point.safety_stock >= 0
    assert point.reorder_at >= use * lead
    assert reorder_point(use, sigma, lead, score + 1).reorder_at >= point.reorder_at


def test_one_wild_day_does_not_set_the_usual_use() -> None:
    assert usual_use_per_day([10.0] * 11 + [200.0]) == 10
    assert usual_use_per_day([10.0] * 4) is None


@given(st.lists(amounts, min_size=5, max_size=40))
def test_the_usual_use_lies_among_the_days(days) -> None:
    usual = usual_use_per_day(days)
    assert min(days) - 1e-9 <= usual <= max(days) * (1 + 1e-12) + 1e-9


def test_the_outlook_says_how_long_it_lasts_and_when_to_order() -> None:
    point = reorder_point(30, 5, 10, 1.65)
    outlook = stock_outlook("Plaster", 500, 30, point)
    assert outlook.days_left == pytest.approx(16.67, abs=0.01)
    assert outlook.sentence == "Plaster lasts about 17 days; order in about 6 days."
    assert stock_outlook("Plaster", 300, 30, point).sentence == (
        "Plaster lasts about 10 days; order now."
    )
    assert stock_outlook("Plaster", 30, 30).sentence == "Plaster lasts about 1 day."
    assert stock_outlook("Plaster", 0, 30).sentence == "Plaster lasts less than a day."


def test_no_usual_rate_is_said_rather_than_divided_by() -> None:
    for rate in (None, 0):
        outlook = stock_outlook("Plaster", 500, rate)
        assert outlook.days_left is None
        assert outlook.sentence == "No usual rate of Plaster is known yet."


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: reorder_point(-1, 5, 10, 1.65),
        lambda: reorder_point(30, -5, 10, 1.65),
        lambda: reorder_point(30, 5, math.nan, 1.65),
        lambda: reorder_point(30, 5, 10, -1),
        lambda: usual_use_per_day([-1.0] * 5),
        lambda: stock_outlook("Plaster", -1, 30),
        lambda: stock_outlook("Plaster", math.inf, 30),
    ],
)
def test_amounts_that_cannot_be_are_refused_in_a_sentence(wrong) -> None:
    with pytest.raises(ValueError, match=r"\.$"):
        wrong()
