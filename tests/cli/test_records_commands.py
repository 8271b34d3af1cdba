"""The records' commands: text for people, JSON by its schema, and sentences where there is no shop."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner

from floorboard.cli.main import COMMANDS, cli
from floorboard.cli.schema import schemas
from floorboard.records.finishing_model import FinishingQueue
from floorboard.records.mold_report_model import MoldReport
from floorboard.records.quality_model import QualityReport
from floorboard.records.times_model import TimesReport
from floorboard.store.sqlite_store import open_store
from floorboard.usecases.handover import Handover
from floorboard.usecases.session import NoShop
from tests.store.small_shop import SHOP, START, Bench

MODELS = {
    "finishing": FinishingQueue,
    "quality": QualityReport,
    "molds": MoldReport,
    "times": TimesReport,
    "handover": Handover,
}


@pytest.fixture(scope="module")
def database(tmp_path_factory):
    path = tmp_path_factory.mktemp("records") / "floor.db"
    with open_store(path) as store:
        store.load_shop(SHOP, source="", at=START, person=None, station="")
        bench = Bench(store)
        bench.cast_bowl("c1")
        bench.begin("c2", "bowl-2")
    return path


def run(database, *arguments):
    return CliRunner().invoke(cli, [arguments[0], "--database", str(database), *arguments[1:]])


@pytest.mark.parametrize("command", MODELS)
def test_json_is_what_the_schema_says(database, command):
    result = run(database, command, "--json")
    assert result.exit_code == 0, result.output
    MODELS[command].model_validate(json.loads(result.output))
    assert schemas()[command] == MODELS[command].model_json_schema()


@pytest.mark.parametrize("command", MODELS)
def test_the_text_is_no_wider_than_a_terminal(database, command):
    result = run(database, command)
    assert result.exit_code == 0, result.output
    assert result.output.strip()
    assert max(len(line) for line in result.output.splitlines()) <= 80


@pytest.mark.parametrize("command", ["tally", "finishing", "quality", "molds", "times"])
def test_an_empty_database_is_answered_in_a_sentence(tmp_path, command):
    path = tmp_path / "empty.db"
    open_store(path).close()
    error = run(path, command).exception
    assert isinstance(error, NoShop)
    assert "Load one with: floorboard shop load FILE" in str(error)


def test_a_decision_on_a_time_is_logged_and_told(database):
    refused = run(database, "times", "--own", "demold bowl")
    assert refused.exit_code == 0, refused.output
    found = TimesReport.model_validate(json.loads(run(database, "times", "--json").output))
    assert next(line.decided for line in found.times if line.task == "demold bowl") == "stated"


def test_a_decision_on_the_demo_never_goes_into_the_shops_own_log(database):
    before = run(database, "log").output
    for option in ("--own", "--learned"):
        refused = run(database, "times", "--demo", option, "demold bowl")
        assert refused.exit_code == 2
        assert "leave --demo out to decide" in refused.output
    assert run(database, "log").output == before


def test_every_command_of_the_records_says_how_it_is_used():
    for command in (*MODELS, "tally", "export", "labels"):
        assert command in COMMANDS
        result = CliRunner().invoke(cli, [command, "--help"])
        assert result.exit_code == 0
        assert "Usage:" in result.output
