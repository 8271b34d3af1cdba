"""What the commands say of databases that cannot be used: a sentence and a status, no traceback."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from floorboard.cli.main import main
from floorboard.shop.locations import seed_file
from floorboard.store.sqlite_store import open_store

FIRST_VERSION = Path(__file__).parents[1] / "store" / "fixtures" / "m001.sql"


@pytest.fixture
def run(monkeypatch, capsys):
    def _run(*arguments):
        monkeypatch.setattr("sys.argv", ["floorboard", *map(str, arguments)])
        try:
            main()
        except SystemExit as end:
            status = end.code or 0
        else:
            status = 0
        captured = capsys.readouterr()
        return status, captured.out, captured.err

    return _run


@pytest.fixture
def database(run, tmp_path):
    path = tmp_path / "new" / "floor.db"
    assert run("shop", "load", seed_file("first.toml"), "--database", path)[0] == 0
    return path


def test_a_file_that_is_no_database(run, tmp_path):
    path = tmp_path / "notes.txt"
    path.write_text("not a database at all")
    status, out, err = run("plan", "--database", path)
    assert (status, out) == (1, "")
    assert err == f"{path} is not a floorboard database. Choose another file with --database.\n"


def test_a_folder_that_cannot_be_made(run):
    status, _, err = run("shop", "load", seed_file("first.toml"), "--database", "/proc/none/f.db")
    assert status == 1
    assert err.startswith("The folder /proc/none could not be made")


def test_a_database_that_is_not_there_is_not_made_by_looking_at_it(run, tmp_path):
    status, _, err = run("plan", "--database", tmp_path / "none.db")
    assert status == 1
    assert "There is no database at" in err
    assert not (tmp_path / "none.db").exists()


def test_an_empty_database_says_how_to_load_a_shop(run, tmp_path):
    open_store(tmp_path / "empty.db").close()
    status, _, err = run("plan", "--database", tmp_path / "empty.db")
    assert status == 1
    assert "floorboard shop load FILE" in err


def test_a_database_from_a_newer_version_is_left_alone(run, database):
    connection = sqlite3.connect(database)
    connection.execute(
        "INSERT INTO _sqlite_migrations (migration_set, name, applied_at) VALUES (?, ?, ?)",
        ("floorboard", "m999_from_the_future", "2030-01-01"),
    )
    connection.commit()
    connection.close()
    status, _, err = run("plan", "--database", database)
    assert status == 1
    assert "newer" in err
    assert "Traceback" not in err


def test_options_given_before_the_command_hold_for_it(run, database):
    status, out, _ = run("--database", database, "log")
    assert status == 0
    assert "Shop definitions loaded from first.toml" in out


def test_a_shop_saved_from_the_database_reads_as_the_one_loaded(run, database, tmp_path):
    saved = tmp_path / "saved.toml"
    assert run("shop", "save", saved, "--database", database)[0] == 0
    assert run("shop", "check", saved)[0] == 0
    status, _, err = run("shop", "save", saved, "--database", database)
    assert status == 1
    assert "--force" in err


def test_a_wrong_shop_file_leaves_the_shop_there_was(run, database, tmp_path):
    wrong = tmp_path / "wrong.toml"
    wrong.write_text(seed_file("first.toml").read_text(encoding="utf-8").replace("15 min", "soon"))
    status, _, err = run("shop", "load", wrong, "--database", database)
    assert status == 1
    assert "found 'soon'" in err
    assert run("--database", database, "plan", "--at", "2026-03-12 09:00")[0] == 0


def test_a_reading_command_brings_an_older_database_up_to_date_first(run, tmp_path):
    old = tmp_path / "old.db"
    connection = sqlite3.connect(old)
    connection.executescript(FIRST_VERSION.read_text(encoding="utf-8"))
    connection.close()
    status, out, err = run("log", "--database", old)
    assert (status, err) == (0, "")
    assert out
