"""Entries called by id or by name, and names that are slips of others."""

from __future__ import annotations

import pytest

from floorboard.shop.names import AmbiguousName, key_called, near_name
from tests.tiny_shop import tiny_shop

MOLDS = tiny_shop().molds
PIECES = tiny_shop(
    pieces={
        key: {**tiny_shop().model_dump(mode="json")["pieces"]["bowl"], "name": name}
        for key, name in (("bowl", "Garden Bowl"), ("dish", "Dish"), ("dish-2", "dish"))
    }
).pieces


@pytest.mark.parametrize(
    ("said", "key"),
    [
        ("bowl", "bowl"),
        ("BOWL", "bowl"),
        ("garden bowl", "bowl"),
        (" Garden  BOWL ", "bowl"),
        ("dish-2", "dish-2"),
        ("dish", "dish"),
        ("urn", "urn"),
    ],
)
def test_an_entry_goes_by_its_id_and_by_its_name(said, key):
    assert key_called(PIECES, said) == key


def test_a_name_that_two_go_by_is_refused_with_their_ids():
    with pytest.raises(AmbiguousName, match="dish, dish-2"):
        key_called(PIECES, "Dish")


@pytest.mark.parametrize(
    ("said", "near"),
    [
        ("plastr", "plaster"),
        ("owk", "owl"),
        ("binder", None),
        ("sand", None),
        ("acrylic", None),
    ],
)
def test_only_a_slip_of_a_name_is_thought_to_be_it(said, near):
    assert near_name(said, ["plaster", "retarder", "water", "owl", "strand-mat"]) == near
