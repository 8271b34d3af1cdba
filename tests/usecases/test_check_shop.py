"""Every mistake of a shop file at once, also those that only its tickets show."""

from __future__ import annotations

import pytest

from floorboard.shop.errors import ShopFileError
from floorboard.shop.locations import seed_file
from floorboard.usecases.check_shop import read_checked_shop

FIRST = seed_file("first.toml").read_text(encoding="utf-8")


def mistakes(tmp_path, *changes):
    text = FIRST
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    path = tmp_path / "shop.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(ShopFileError) as refused:
        read_checked_shop(path)
    return refused.value.problems


SMALL_BUCKET = ('largest_batch = "3 kg"', 'largest_batch = "500 g"')


@pytest.mark.parametrize(
    "other",
    [
        ('zone = "Europe/London"', 'zone = "Europe/Nowhere"'),
        ("loss = {", "lost = {"),
        ('demold = "3 min"', 'demold = "3 min"\ncolour = "red"'),
        ('piece = "bowl" }\n', 'piece = "bowel" }\n'),
    ],
)
def test_a_bucket_too_small_is_said_beside_other_mistakes(tmp_path, other):
    found = mistakes(tmp_path, SMALL_BUCKET, other)
    assert any("largest_batch" in one.expected for one in found)
    assert len(found) >= 2
    assert [one.line for one in found] == sorted(one.line for one in found)


def test_a_mix_that_cannot_be_weighed_is_said_beside_other_mistakes(tmp_path):
    other = ('zone = "Europe/London"', 'zone = "Europe/Nowhere"')
    stages = (
        'weigh = "2 min"',
        'stages = [{ name = "All", add = ["water", "plaster"] }]\nweigh = "2 min"',
    )
    alone = mistakes(tmp_path, stages)
    both = mistakes(tmp_path, stages, other)
    assert {one.field for one in alone} < {one.field for one in both}
    assert any(one.field == "shop.zone" for one in both)
