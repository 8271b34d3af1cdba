"""A command that lacks a word says which it takes; the log can be the demo's; a PIN needs asking."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest
from click.testing import CliRunner

from floorboard.cli.main import cli

TRACE = "Say what to trace: trace lot LOT, or trace casting SERIAL."
COST = "Say what to cost: cost casting SERIAL, cost piece PIECE, cost order ORDER, or cost scrap."


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("trace P-2598 --demo", f"No such command 'P-2598'. {TRACE}"),
        ("trace --demo", f"No such option '--demo'. {TRACE}"),
        ("cost --demo", f"No such option '--demo'. {COST}"),
    ],
)
def test_a_command_without_its_further_word_names_those_it_takes(typed, said):
    result = CliRunner().invoke(cli, typed.split())
    assert result.exit_code == 2
    assert said in " ".join(result.output.split())


def test_the_demos_log_can_be_printed():
    result = CliRunner().invoke(cli, ["log", "--demo", "--last", "3"])
    assert result.exit_code == 0
    assert len(result.output.splitlines()) == 3


def test_where_no_terminal_can_hide_a_pin_the_ways_to_give_one_are_said():
    command = [sys.executable, "-m", "floorboard", "serve", "--host", "0.0.0.0"]
    environment = {name: value for name, value in os.environ.items() if name != "FLOORBOARD_PIN"}
    done = subprocess.run(
        command,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        start_new_session=True,
        env=environment,
        check=False,
    )
    assert (done.returncode, done.stdout) == (1, "")
    assert done.stderr.startswith("Browsers beyond this machine need a PIN")
    assert "--pin-file FILE" in done.stderr
    assert "FLOORBOARD_PIN" in done.stderr
    assert "Warning" not in done.stderr
