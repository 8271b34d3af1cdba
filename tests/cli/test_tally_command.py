"""The tally command: JSON by its schema, CSV without formulas, and sentences for mistakes."""

from __future__ import annotations

import csv
import io
import json

import pytest
from click.testing import CliRunner

from floorboard.cli.main import cli
from floorboard.cli.schema import schemas
from floorboard.records.tally_model import Tally
from floorboard.store.sqlite_store import open_store
from tests.store.small_shop import SHOP, START, Bench

DAY = ("--day", "2026-03-12")


@pytest.fixture
def database(tmp_path):
    path = tmp_path / "floor.db"
    piece = SHOP.pieces["bowl"].model_copy(update={"name": "=HYPERLINK(1)"})
    shop = SHOP.model_copy(update={"pieces": {**SHOP.pieces, "bowl": piece}})
    with open_store(path) as store:
        store.load_shop(shop, source="", at=START, person=None, station="")
        Bench(store).cast_bowl("c1")
    return path


def run(database, *arguments):
    return CliRunner().invoke(cli, ["tally", "--database", str(database), *arguments])


def test_json_is_the_tally_and_its_schema_can_be_printed(database):
    found = Tally.model_validate(json.loads(run(database, *DAY, "--json").output))
    assert (found.counts.begun, found.counts.good) == (1, 1)
    assert schemas()["tally"]["title"] == "Tally"


def test_csv_has_a_line_a_value_and_no_formula(database):
    rows = list(csv.DictReader(io.StringIO(run(database, *DAY, "--csv").output)))
    values = {(row["table"], row["item"], row["measure"]): row["value"] for row in rows}
    assert values["counts", "good", "castings"] == "1"
    assert values["pieces", "bowl", "name"] == "'=HYPERLINK(1)"


def test_the_text_names_the_day_and_the_counts(database):
    output = run(database, *DAY).output
    assert output.startswith("Corner shop: Thursday 12 March 2026\n")
    assert "0 carried in + 1 begun = 1 good + 0 scrapped + 0 carried over." in output


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--day", "12.3.2026"), "expected a date such as '2026-03-12'"),
        (("--from", "2026-03-13", "--to", "2026-03-12"), "before it begins"),
        (("--day", "2026-03-12", "--shift"), "Give one of"),
    ],
)
def test_a_mistaken_stretch_is_answered_in_a_sentence(database, arguments, said):
    result = run(database, *arguments)
    assert result.exit_code == 2
    assert said in result.output
