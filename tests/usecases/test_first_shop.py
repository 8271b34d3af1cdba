"""A newcomer's first shop: right as it stands, and refused in sentences where it is not."""

from __future__ import annotations

import pytest

from floorboard.shop.file import read_shop, write_shop
from floorboard.usecases.first_shop import AnswersRefused, first_shop


def test_the_answers_to_start_from_make_a_shop_that_can_be_saved_and_read():
    shop = first_shop({})
    assert read_shop(write_shop(shop), "shop.toml") == shop


def test_answers_in_us_units_and_any_window_will_do():
    shop = first_shop({"grams": "14 oz", "recoat": "none", "layers": "4", "molds": "3"})
    piece = shop.pieces["bowl"]
    assert [layer.recoat_by for layer in piece.layers] == [None] * 4
    assert len(shop.molds) == 3


def test_everything_wrong_is_said_at_once():
    with pytest.raises(AnswersRefused) as refused:
        first_shop({"molds": "many", "layers": "0", "ratio": "ten to seven"})
    assert str(refused.value).count("\n") == 2


def test_a_window_that_closes_before_it_opens_is_refused_with_the_numbers():
    with pytest.raises(AnswersRefused, match=r"15 min.*10 min"):
        first_shop({"recoat": "10 min"})


def test_ids_are_made_of_the_names_given_and_the_liquid_is_weighed_first():
    shop = first_shop({"piece": "Gárden Bowl!", "powder": "Beton 500", "liquid": "beton 500"})
    assert list(shop.pieces) == ["garden-bowl"]
    assert list(shop.molds) == ["garden-bowl-1", "garden-bowl-2"]
    (mix,) = shop.mixes.values()
    assert [part.material for part in mix.parts] == ["beton-500-liquid", "beton-500"]
    assert [float(part.parts) for part in mix.parts] == [7, 10]
    assert list(first_shop({"piece": "碗"}).pieces) == ["piece"]


def test_a_mistake_is_told_by_its_question_whatever_the_id():
    with pytest.raises(AnswersRefused) as refused:
        first_shop({"piece": "powder", "bucket": "300 g"})
    assert set(refused.value.keys) == {"grams"}
