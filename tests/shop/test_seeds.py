import pytest

from floorboard.shop.file import read_shop, write_shop
from floorboard.shop.locations import seed_file


@pytest.mark.parametrize("name", ["demo.toml"])
def test_a_seed_is_read_without_a_problem_and_survives_being_saved(name) -> None:
    shop = read_shop(seed_file(name).read_text(encoding="utf-8"), name)
    assert read_shop(write_shop(shop), name) == shop
