"""The commands that look after the database say what they did, and end as they should."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from floorboard.cli.main import cli
from floorboard.floor import events as e
from floorboard.store.errors import NoFolder
from floorboard.store.sqlite_store import open_store
from tests.store.small_shop import SHOP, START, Bench
from tests.store.test_verify import tamper


@pytest.fixture
def database(tmp_path: Path) -> Path:
    path = tmp_path / "floor.db"
    with open_store(path) as store:
        store.load_shop(SHOP, source="x", at=START, person=None, station="")
        Bench(store).cast_bowl("c-1")
    return path


def run(*arguments, database, **named):
    command, *rest = [str(argument) for argument in arguments]
    return CliRunner().invoke(cli, [command, "--database", str(database), *rest], **named)


def test_a_sound_database_is_said_to_be_sound(database):
    for options in ((), ("--quick",)):
        result = run("check", *options, database=database)
        assert (result.exit_code, result.output) == (0, f"{database} is sound.\n")
    assert json.loads(run("check", "--json", database=database).output) == []


def test_what_is_found_is_told_and_the_status_is_one_until_it_is_repaired(database):
    tamper(database, "UPDATE molds SET pulls = 9")
    result = run("check", database=database)
    assert (result.exit_code, result.output) == (1, "molds: bowl-1 is not what the log says.\n")
    as_json = run("check", "--json", database=database)
    assert as_json.exit_code == 1
    assert json.loads(as_json.output) == [
        {"where": "molds", "sentence": "bowl-1 is not what the log says."}
    ]
    assert run("check", "--repair", database=database).exit_code == 0
    assert run("check", database=database).exit_code == 0


def test_a_database_that_is_missing_is_found_to_be_missing(tmp_path):
    result = run("check", database=tmp_path / "none.db")
    assert result.exit_code == 1
    assert "no database at" in result.output


def test_a_backup_is_made_listed_and_brought_back(database):
    made = json.loads(run("backup", "--json", database=database).output)
    assert Path(made[0]["path"]).parent == database.parent / "backups"
    assert json.loads(run("backup", "--list", "--json", database=database).output) == made
    assert made[0]["path"] in run("backup", "--list", database=database).output
    with open_store(database) as store:
        Bench(store).log(e.Noted(note="after the backup"))
    declined = run("restore", database=database, input="n\n")
    assert declined.exit_code == 1
    with open_store(database) as store:
        assert store.latest(1)[0].event == e.Noted(note="after the backup")
    done = run("restore", "--yes", database=database)
    assert done.exit_code == 0
    assert "is kept as" in done.output
    with open_store(database) as store:
        assert store.latest(1)[0].event != e.Noted(note="after the backup")


def test_a_backup_is_made_only_if_the_newest_is_old(database):
    assert json.loads(run("backup", "--if-older", "1", "--json", database=database).output) != []
    assert json.loads(run("backup", "--if-older", "1", "--json", database=database).output) == []
    assert json.loads(run("backup", "--if-older", "0", "--json", database=database).output) != []


def test_only_so_many_backups_are_kept(database):
    options = ("--keep-latest", "2", "--keep-days", "1", "--keep-weeks", "0")
    for _ in range(4):
        assert run("backup", *options, database=database).exit_code == 0
    assert len(list((database.parent / "backups").iterdir())) == 2


def test_with_no_backup_there_is_nothing_to_restore(database):
    result = run("restore", "--yes", database=database)
    assert result.exit_code == 1
    assert "There is no backup in" in result.output


def test_a_backup_file_that_is_not_there_is_told_before_any_question(database):
    result = run("restore", "/nope.db", database=database)
    assert result.exit_code == 1
    assert result.output.startswith("Error: There is no file /nope.db.")


def test_a_backup_is_brought_back_on_a_machine_that_never_had_a_database(database, tmp_path):
    made = json.loads(run("backup", "--json", database=database).output)[0]["path"]
    elsewhere = tmp_path / "never" / "there" / "floor.db"
    done = run("restore", "--yes", made, database=elsewhere)
    assert (done.exit_code, done.output) == (0, f"{elsewhere} is {made} now.\n")
    assert run("check", database=elsewhere).output == f"{elsewhere} is sound.\n"


def test_a_folder_that_cannot_be_made_is_told_and_nothing_is_restored(database):
    made = json.loads(run("backup", "--json", database=database).output)[0]["path"]
    done = run("restore", "--yes", made, database=database / "under-a-file" / "floor.db")
    assert isinstance(done.exception, NoFolder)
    assert "could not be made" in str(done.exception)


@pytest.mark.parametrize("command", ["check", "tally", "log"])
def test_a_database_in_a_folder_that_is_not_there_is_no_database(command, tmp_path):
    path = tmp_path / "nowhere" / "floor.db"
    result = run(command, database=path)
    assert result.exit_code == 1
    assert f"There is no database at {path}. Check the path." in result.output + str(
        result.exception
    )
    assert not path.parent.exists()


@pytest.mark.parametrize("folder", ["floors", "."])
def test_no_folder_is_left_where_there_was_nothing_to_back_up(folder, tmp_path):
    result = run("backup", database=tmp_path / folder / "floor.db")
    assert result.exit_code == 1
    assert "There is no database at" in str(result.exception)
    assert list(tmp_path.iterdir()) == []


def test_a_folder_for_backups_that_cannot_be_made_is_told_with_how_to_name_another(database):
    done = run("backup", "--folder", database / "under-a-file", database=database)
    assert done.exit_code == 1
    assert "could not be made" in str(done.exception)
    assert "--folder" in str(done.exception)
