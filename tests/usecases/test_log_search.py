"""What a search of the log finds."""

from __future__ import annotations

import pytest

from floorboard.usecases.log_search import searcher

LINE = "12 Mar 10:06 Maia  Mold 16: layer 2 in, 9.6 g of 260312-06"


@pytest.mark.parametrize(
    ("wanted", "found"),
    [
        ("", True),
        ("mold 16", True),
        ("MOLD 16 maia", True),
        ("mold 6", False),
        ("mold 1", False),
        ("6", False),
        ("layer 2", True),
        ("layer 16", False),
        ("16 2", True),
        ("12 mar", True),
        ("10:06", True),
        ("260312-06", True),
        ("260312", True),
        ("mold", True),
        ("mold (", False),
    ],
)
def test_a_number_is_found_whole_and_after_the_word_it_belongs_to(wanted, found):
    assert searcher(wanted)(LINE) is found
