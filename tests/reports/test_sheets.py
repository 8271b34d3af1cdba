"""CSV and workbook: every table, numbers as numbers, and no cell that is a formula."""

from __future__ import annotations

import csv
import io
import re
import zipfile

import pytest

from floorboard.reports.cell_text import plain_cell
from floorboard.reports.tally_csv import tally_csv
from floorboard.reports.tally_rows import tally_tables
from floorboard.reports.tally_xlsx import tally_xlsx


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@x", "\t=1", "  =1", "＝1"])
def test_text_that_a_sheet_would_take_for_a_formula_is_made_plain(text):
    assert plain_cell(text) == f"'{text}"


@pytest.mark.parametrize("text", ["Bowl", "3 - 4", "", "a=b"])
def test_other_text_stays_as_it_is(text):
    assert plain_cell(text) == text


def test_csv_holds_every_value_of_every_table_with_its_days(tally):
    rows = list(csv.DictReader(io.StringIO(tally_csv(tally))))
    found = {(row["table"], row["item"], row["measure"]): row["value"] for row in rows}
    assert {row["first_day"] for row in rows} == {"2026-03-12"}
    assert found["counts", "good", "castings"] == "2"
    assert found["pieces", "tile", "name"] == '\'=HYPERLINK("x")'
    assert found["reasons", "void", "rejected"] == "1"
    assert {row["table"] for row in rows} == {table.name for table in tally_tables(tally)}


def test_the_workbook_has_a_sheet_a_table_and_not_one_formula_or_link(tally):
    with zipfile.ZipFile(io.BytesIO(tally_xlsx(tally))) as book:
        names = re.findall(r'<sheet name="([^"]+)"', book.read("xl/workbook.xml").decode())
        sheets = [book.read(n).decode() for n in book.namelist() if "worksheets/sheet" in n]
        words = book.read("xl/sharedStrings.xml").decode()
    tables = [table.name.replace("_", " ") for table in tally_tables(tally)]
    assert names == ["tally", *tables]
    assert not any("<f>" in sheet or "hyperlink" in sheet for sheet in sheets)
    assert "=HYPERLINK" in words
    # Good castings: a number, not a text.
    counts = sheets[names.index("counts")]
    assert re.search(r'<c r="B4" s="\d+"><v>2</v>', counts)
