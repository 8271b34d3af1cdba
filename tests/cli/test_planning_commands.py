"""Plans, promises and suppositions by command, as text and as JSON of the documented shape."""

from __future__ import annotations

import contextlib
import json
import os
import signal
import subprocess
import sys

import pytest
from click.testing import CliRunner

from floorboard.cli.main import cli, main
from floorboard.cli.rotation import round_lines
from floorboard.cli.schema import schemas
from floorboard.planning import shop_rotation
from floorboard.planning.chance import Chance
from floorboard.planning.errors import PlanningError
from floorboard.planning.plan import Plan
from floorboard.planning.promise import Promise
from floorboard.planning.rotation_draft import ShopRound
from floorboard.planning.whatif import WhatIf
from floorboard.shop.errors import FloorboardError
from floorboard.shop.file import read_shop_file
from floorboard.shop.locations import seed_file

SMALL = ("--shop", str(seed_file("small-us.toml")), "--at", "2026-03-12 08:00")


def run(*arguments):
    result = CliRunner().invoke(cli, [str(argument) for argument in arguments])
    assert result.exit_code == 0, result.output
    return result.output


def test_a_plan_of_a_file_alone_prints_who_does_what_when():
    assert "08:00" in run("plan", *SMALL).splitlines()[1]


def test_a_plan_as_json_is_a_plan():
    plan = Plan.model_validate_json(run("plan", "--json", *SMALL))
    assert plan.tasks
    assert [task.start for task in plan.tasks] == sorted(task.start for task in plan.tasks)


def test_a_promise_names_a_date():
    promise = Promise.model_validate_json(run("promise", "--json", "--quick", _piece(), 4, *SMALL))
    assert promise.date is not None
    assert promise.quantity == 4


def test_the_chance_of_the_days_count_never_rises_with_the_count():
    chance = Chance.model_validate_json(run("chance", "--json", "--days", 500, *SMALL))
    chances = [count.chance for count in chance.counts]
    assert chances == sorted(chances, reverse=True)
    assert 0 <= chance.chance_of_planned <= 1


def test_a_round_of_one_mold_is_as_long_as_its_cycle():
    found = ShopRound.model_validate_json(run("rotation", "--json", "--molds", "1", *SMALL))
    assert found.proved
    assert found.round_seconds == found.bound_seconds


@pytest.mark.parametrize(
    ("impossible", "words"),
    [(True, "this is proved. Take fewer molds"), (False, "none is shorter than 90.0 min")],
)
def test_without_a_round_it_is_said_whether_none_is_possible(impossible, words):
    found = ShopRound(
        molds=("a", "b"),
        people=2,
        round_seconds=None,
        impossible=impossible,
        bound_seconds=5400,
        proved=False,
        castings_per_hour=0,
        hands_used=0,
        turns=(),
        runtime_seconds=10,
    )
    shop = read_shop_file(seed_file("small-us.toml"))
    with pytest.raises(FloorboardError, match=words):
        round_lines(shop, found)


def test_a_round_names_for_whom_and_which_molds_it_is_and_how_to_ask_for_others():
    shop = read_shop_file(seed_file("small-us.toml"))
    head, others, *_ = run("rotation", "--molds", "1", *SMALL).splitlines()
    assert head == (
        f"For one person (of {len(shop.people)} in the shop) and mold 1 (of {len(shop.molds)})."
    )
    assert "--people" in others
    assert "--molds" in others


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_a_search_says_its_limit_at_once_and_ends_at_a_signal_with_no_more_words(number):
    ours, theirs = os.openpty()
    words = ["-m", "floorboard", "rotation", "--piece", _piece(), "--people", "2", *SMALL]
    search = subprocess.Popen(
        [sys.executable, *words, "--seconds", "600"], stdout=subprocess.PIPE, stderr=theirs
    )
    os.close(theirs)
    said = os.read(ours, 1000).decode()
    assert said.strip() == "Searching for at most 600 s (--seconds)."
    search.send_signal(number)
    assert search.communicate()[0] == b""
    assert search.returncode == -number
    with contextlib.suppress(OSError):  # a terminal whose other end is gone
        assert os.read(ours, 1000) == b""
    os.close(ours)


def test_a_mold_nobody_has_is_refused_in_a_round():
    result = CliRunner().invoke(cli, ["rotation", "--molds", "1,77", *SMALL])
    assert result.exit_code == 2
    assert "77" in result.output


def test_a_piece_nobody_casts_is_refused_with_those_there_are():
    result = CliRunner().invoke(cli, ["promise", "dragon", "4", *SMALL])
    assert result.exit_code == 2
    assert _piece() in result.output


def test_what_if_lists_the_shop_as_it_is_first():
    text = run("what-if", "--json", "--molds", "1,2", "--seconds", "0", *SMALL)
    rows = WhatIf.model_validate_json(text).rows
    assert [row.name for row in rows] == ["as it is", "1 mold", "2 molds"]


@pytest.mark.parametrize("name", sorted(schemas()))
def test_every_schema_prints_as_json(name):
    assert isinstance(json.loads(run("schema", name)), dict)


def _piece():
    plan = Plan.model_validate_json(run("plan", "--json", *SMALL))
    return plan.castings[0].piece


def test_one_mold_is_one_mold_where_there_is_no_round():
    found = ShopRound(
        molds=("a",), people=1, round_seconds=None, impossible=True, bound_seconds=60, proved=True,
        castings_per_hour=0, hands_used=0, turns=(), runtime_seconds=1,
    )  # fmt: skip
    with pytest.raises(FloorboardError, match="No round of 1 mold keeps all windows with one"):
        round_lines(read_shop_file(seed_file("demo.toml")), found)


@pytest.mark.parametrize(
    "command", [("rotation", "--piece", "no-such"), ("promise", "no-such", "1")]
)
def test_a_piece_there_is_not_is_refused_with_those_there_are(command):
    said = CliRunner().invoke(cli, [*command, *SMALL])
    assert said.exit_code == 2
    assert "there is no piece 'no-such'; expected one of: " in said.output


def test_what_the_planner_refuses_is_a_sentence_on_the_way_out(monkeypatch, capsys):
    def refuse(*_arguments, **_options):
        raise PlanningError("Name the molds that go round.")

    monkeypatch.setattr(shop_rotation, "shop_round", refuse)
    monkeypatch.setattr(sys, "argv", ["floorboard", "rotation", *SMALL])
    with pytest.raises(SystemExit) as ended:
        main()
    assert ended.value.code == 1
    assert capsys.readouterr().err == "Name the molds that go round.\n"
