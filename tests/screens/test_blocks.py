"""Text in blocks: laid out for a width, nothing cut off mid-word, less shown when narrow."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from floorboard.screens.blocks import (
    Block,
    Column,
    Said,
    Table,
    block_lines,
    in_columns,
    table_lines,
)
from floorboard.screens.lines import Line, Span, fit_line, wrap_spans, wrap_text

TABLE = Table(
    (Column("piece"), Column("begun"), Column("packed", 5), Column("left", 1)),
    (("Barn owl, hollow", "12", "3", "4"), ("all", "12", "3", "4")),
    frozenset({1}),
)
words = st.text(st.characters(codec="utf-8", exclude_categories=("C", "Z")), max_size=12)
sentences = st.lists(words, max_size=12).map(" ".join)


def texts(lines):
    return [line.text for line in lines]


def test_a_table_with_room_shows_every_column():
    assert texts(table_lines(TABLE, 60)) == [
        "piece             begun  packed  left",
        "Barn owl, hollow     12       3     4",
        "all                  12       3     4",
    ]


def test_a_narrow_table_leaves_out_the_least_wanted_columns_first():
    assert texts(table_lines(TABLE, 30))[0] == "piece             begun  left"
    assert texts(table_lines(TABLE, 24))[0] == "piece             begun"


def test_only_the_first_column_is_shortened_and_at_a_word():
    assert texts(table_lines(TABLE, 12))[1] == "Barn owl…"


def test_a_total_is_set_in_bold():
    assert [line.spans[0].role for line in table_lines(TABLE, 60)] == ["quiet", "plain", "bold"]


def test_blocks_stand_beside_each_other_whole_and_in_reading_order():
    blocks = [Block(name, (Said(f"{name} says so."),)) for name in ("one", "two", "three")]
    lines = texts(in_columns(blocks, 40, 2))
    assert lines[0].split()[0] == "one"
    assert "two" in lines[0]
    assert lines[3].startswith("three")
    assert all(cell_len(line) == 39 for line in lines)


@given(sentences, st.integers(min_value=4, max_value=60))
def test_wrapped_text_keeps_every_word_that_fits_and_no_line_is_too_wide(text, width):
    lines = wrap_text(text, width)
    assert all(cell_len(line) <= width for line in lines)
    if all(cell_len(word) <= width for word in text.split()):
        assert " ".join(lines).split() == text.split()


@given(st.lists(sentences, max_size=5), st.integers(min_value=1, max_value=50))
def test_a_fitted_line_is_as_wide_as_it_must_be(parts, width):
    line = Line(tuple(Span(part) for part in parts))
    assert cell_len(fit_line(line, width).text) == width


@given(st.lists(words.filter(bool), max_size=8), st.integers(min_value=15, max_value=40))
def test_counts_in_a_row_are_never_split(parts, width):
    lines = wrap_spans([Span(part) for part in parts], width)
    assert [span.text for line in lines for span in line.spans if span.text != "   "] == parts


def test_a_block_fits_its_width():
    block = Block("Castings", (TABLE, Said("A sentence that is longer than there is room for.")))
    assert all(cell_len(line.text) <= 34 for line in block_lines(block, 34))
