from itertools import pairwise

import pytest
from hypothesis import HealthCheck, given, settings

from floorboard.shop.cross_checks import findings
from floorboard.shop.errors import ShopFileError
from floorboard.shop.file import read_shop, write_shop
from floorboard.shop.locations import seed_file
from floorboard.shop.quantities import Quantity
from floorboard.shop.shop import Shop
from tests.strategies import AWKWARD_NAMES, shops


def texts_of(value: object) -> list[str]:
    """How every quantity in a value was written, in order."""
    if isinstance(value, Quantity):
        return [value.text]
    if isinstance(value, dict):
        return [text for inner in value.values() for text in texts_of(inner)]
    if isinstance(value, tuple | list):
        return [text for inner in value for text in texts_of(inner)]
    fields = getattr(type(value), "model_fields", {})
    return [text for name in fields for text in texts_of(getattr(value, name))]


@given(shops())
@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow], deadline=None)
def test_a_shop_written_and_read_again_is_the_same_down_to_how_quantities_were_written(
    shop,
) -> None:
    again = read_shop(write_shop(shop), "again.toml")
    assert again == shop
    assert texts_of(again) == texts_of(shop)
    assert write_shop(again) == write_shop(shop)


@given(shops())
@settings(max_examples=30, suppress_health_check=[HealthCheck.too_slow], deadline=None)
def test_a_shop_survives_json_as_the_database_keeps_it(shop) -> None:
    assert findings(shop) == []
    again = Shop.model_validate_json(shop.model_dump_json())
    assert again == shop
    assert texts_of(again) == texts_of(shop)


@pytest.mark.parametrize("name", ["demo.toml", "first.toml", "small-us.toml"])
def test_a_seed_is_read_without_a_problem_and_survives_being_saved(name) -> None:
    shop = read_shop(seed_file(name).read_text(encoding="utf-8"), name)
    again = read_shop(write_shop(shop), name)
    assert again == shop
    assert texts_of(again) == texts_of(shop)


@pytest.mark.parametrize("name", AWKWARD_NAMES)
def test_a_name_is_kept_as_typed(name) -> None:
    text = seed_file("first.toml").read_text(encoding="utf-8")
    shop = read_shop(text, "first.toml")
    named = shop.model_copy(
        update={"pieces": {"bowl": shop.pieces["bowl"].model_copy(update={"name": name})}}
    )
    assert read_shop(write_shop(named), "named.toml").pieces["bowl"].name == name


@pytest.mark.parametrize(
    "name",
    ["a\\u001b[31mred", "bell\\u0007", "two\\nlines", "\\u202eturned round", "\\u2028", "  "],
)
def test_a_name_that_could_drive_a_terminal_or_cannot_be_seen_is_refused(name) -> None:
    text = seed_file("first.toml").read_text(encoding="utf-8")
    with pytest.raises(ShopFileError) as refused:
        read_shop(text.replace('"Bowl"', f'"{name}"'), "first.toml")
    [problem] = refused.value.problems
    assert problem.field == "pieces.bowl.name"


def test_the_written_file_has_its_sections_in_order_with_a_comment_at_the_head_of_each() -> None:
    shop = read_shop(seed_file("demo.toml").read_text(encoding="utf-8"), "demo.toml")
    lines = write_shop(shop).splitlines()
    heads: dict[str, str] = {}
    for before, line in pairwise(lines):
        if line.startswith("["):
            heads.setdefault(line.strip("[]").split(".")[0], before)
    # The demo keeps the usual reasons, so they are left out.
    assert list(heads) == [name for name in Shop.model_fields if name != "reasons"]
    del heads["shop"]
    assert all(before.startswith("# ") for before in heads.values())
    assert max(len(line) for line in lines) <= 120
