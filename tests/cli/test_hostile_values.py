"""Values on the command line and in the environment that no screen could show as they are."""

from __future__ import annotations

import pytest

from floorboard.cli import main as commands
from floorboard.floor import events as e
from floorboard.floor.clock import FixedClock
from floorboard.shop.locations import seed_file
from floorboard.store.errors import ClockAstray
from tests.board_run import session_on
from tests.tiny_shop import START


def run(monkeypatch, capsys, *arguments):
    """Run a command as it is run from a shell; return its exit status and what it wrote."""
    monkeypatch.setattr("sys.argv", ["floorboard", *arguments])
    try:
        commands.main()
        status = 0
    except SystemExit as ended:
        status = ended.code
    written = capsys.readouterr()
    return status, written.out + written.err


@pytest.fixture
def database(tmp_path):
    path = tmp_path / "f.db"
    with session_on(path):
        pass
    return str(path)


@pytest.mark.parametrize(
    "arguments",
    [
        ("stock", "waste", "powder", "1 g", "--note", "a\x1b[2Jb"),
        ("stock", "receive", "powder", "L\x1b1", "5 kg"),
        ("stock", "receive", "powder", "L1", "5 kg", "--expires", "0001-01-01"),
        ("tally", "--day", "9999-12-31"),
        ("tally", "--day", "0001-01-01"),
        ("plan", "--at", "0001-01-01 00:00"),
        ("plan", "--at", "9999-12-31 23:59"),
        ("trace", "\x1b[2J"),
    ],
)
def test_a_value_that_cannot_be_is_refused_in_a_sentence(arguments, database, monkeypatch, capsys):
    status, said = run(monkeypatch, capsys, *arguments, "--database", database)
    assert "\x1b" not in said
    assert "Traceback" not in said
    assert status in {1, 2}
    assert said.strip()


def test_a_search_for_what_could_drive_a_terminal_finds_nothing(database, monkeypatch, capsys):
    status, said = run(monkeypatch, capsys, "log", "--find", "\x1b[2J", "--database", database)
    assert (status, said) == (0, "")


def test_a_station_named_in_the_environment_cannot_drive_a_terminal(database, monkeypatch, capsys):
    monkeypatch.setenv("FLOORBOARD_STATION", "bench\x1b]0;x\x07")
    status, said = run(monkeypatch, capsys, "plan", "--database", database)
    assert status == 2
    assert "U+001B" in said
    assert "\x1b" not in said


def test_a_shop_file_with_an_odd_name_is_loaded_under_a_name_that_can_be_shown(
    tmp_path, monkeypatch, capsys
):
    file = tmp_path / "sh\x1b[31mop\udcff.toml"
    file.write_bytes(seed_file("first.toml").read_bytes())
    database = str(tmp_path / "f.db")
    status, said = run(monkeypatch, capsys, "shop", "load", str(file), "--database", database)
    assert status == 0
    status, said = run(monkeypatch, capsys, "log", "--database", database)
    assert "from sh?[31mop?.toml" in said
    assert "\x1b" not in said


@pytest.mark.parametrize("year", [1970, 3000])
def test_a_clock_without_a_battery_logs_nothing_and_says_so(year, tmp_path):
    with session_on(tmp_path / "f.db") as (session, clock):
        assert isinstance(clock, FixedClock)
        clock.at = START.replace(year=year)
        with pytest.raises(ClockAstray, match=f"shows the year {year}. Nothing was logged"):
            session.log("ana", e.Noted(note="x"))
        assert session.store.last_seq() == 1
