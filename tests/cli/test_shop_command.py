"""The shop commands: check a file, say every mistake, never load a wrong one."""

from __future__ import annotations

import json

from click.testing import CliRunner

from floorboard.cli.main import cli
from floorboard.shop.locations import seed_file


def run(*arguments):
    return CliRunner().invoke(cli, [str(argument) for argument in arguments])


def test_a_right_file_is_said_to_be_right():
    result = run("shop", "check", seed_file("demo.toml"))
    assert result.exit_code == 0
    assert "is right: 2 people, 8 molds, 4 pieces" in result.output


def test_every_mistake_is_named_with_its_line_and_the_status_is_one(tmp_path):
    text = seed_file("demo.toml").read_text(encoding="utf-8")
    wrong = tmp_path / "wrong.toml"
    wrong.write_text(
        text.replace('ready = "6 min"', 'ready = "6"').replace(
            'piece = "plaque"', 'piece = "plague"', 1
        ),
        encoding="utf-8",
    )
    result = run("shop", "check", wrong)
    lines = text.splitlines()
    ready = next(n for n, line in enumerate(lines, 1) if 'ready = "6 min"' in line)
    piece = next(n for n, line in enumerate(lines, 1) if 'piece = "plaque"' in line)
    assert result.exit_code == 1
    assert f"line {ready}" in result.output
    assert f"line {piece}" in result.output
    as_json = json.loads(run("shop", "check", "--json", wrong).output)
    assert {problem["line"] for problem in as_json} >= {ready, piece}
