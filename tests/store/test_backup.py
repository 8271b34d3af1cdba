"""Backups are whole, checked and rotated; bringing one back loses nothing that was there."""

from __future__ import annotations

import datetime as dt
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorboard.floor import events as e
from floorboard.store.backup import (
    Backup,
    Keep,
    back_up,
    backups_in,
    entries_in,
    findings_in,
    is_due,
    rotate,
    to_drop,
)
from floorboard.store.errors import BackupFailed, DatabaseBusy, DatabaseGone, NoDatabase, NoFolder
from floorboard.store.restore import restore
from floorboard.store.sqlite_store import open_store
from floorboard.store.verify import verify
from tests.store.small_shop import SHOP, START, Bench
from tests.store.test_verify import tamper

HOUR = dt.timedelta(hours=1)


@pytest.fixture
def database(tmp_path: Path) -> Path:
    path = tmp_path / "floor.db"
    with open_store(path) as store:
        store.load_shop(SHOP, source="x", at=START, person=None, station="")
        Bench(store).cast_bowl("c-1")
    return path


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    folder = tmp_path / "backups"
    folder.mkdir()
    return folder


def test_a_backup_is_one_checked_file_with_all_that_was_logged(database, folder):
    with open_store(database) as store:
        bench = Bench(store)
        bench.begin("c-2")
        backup = back_up(database, folder, START)
        bench.log(e.MoldReadied(casting="c-2"))
        assert [path.name for path in folder.iterdir()] == ["floor-20260312T080000Z.db"]
        assert entries_in(backup.path) == store.last_seq() - 1
        assert findings_in(backup.path) == []
    with open_store(backup.path, read_only=True) as copy:
        assert copy.shop() == SHOP
        assert copy.floor().castings["c-2"].readied_at is None


def test_a_backup_of_an_unsound_database_is_refused_and_leaves_no_file(database, folder):
    tamper(database, "UPDATE molds SET pulls = 9")
    with pytest.raises(BackupFailed, match="bowl-1 is not what the log says"):
        back_up(database, folder, START)
    assert list(folder.iterdir()) == []


def test_a_backup_needs_its_folder_and_a_database(database, tmp_path, folder):
    with pytest.raises(NoFolder, match="Make it"):
        back_up(database, tmp_path / "nowhere", START)
    with pytest.raises(NoDatabase, match="no database at"):
        back_up(tmp_path / "other.db", folder, START)


def test_backups_are_listed_newest_first_and_only_of_their_database(database, folder):
    made = [back_up(database, folder, START + n * HOUR) for n in range(3)]
    (folder / "floor-notes.db").write_text("x")
    (folder / "other-20260312T080000Z.db").write_text("x")
    assert backups_in(folder, database) == made[::-1]


def test_two_backups_in_one_second_are_two_files(database, folder):
    assert back_up(database, folder, START).path != back_up(database, folder, START).path
    assert len(backups_in(folder, database)) == 2


@pytest.mark.parametrize(
    ("ages_hours", "due"), [([], True), ([0.5, 30], False), ([1.0], True), ([-5.0], True)]
)
def test_a_backup_is_due_when_the_newest_is_old_or_its_date_cannot_be(ages_hours, due):
    backups = [Backup(Path(f"{age}.db"), START - age * HOUR) for age in ages_hours]
    assert is_due(backups, START, HOUR) is due


def test_rotation_keeps_the_latest_and_the_last_of_days_and_weeks(folder, database):
    moments = [START - n * 6 * HOUR for n in range(4 * 40)]
    for moment in moments:
        (folder / f"floor-{moment:%Y%m%dT%H%M%SZ}.db").touch()
    rotate(folder, database, Keep(latest=3, days=4, weeks=3))
    left = [backup.made_at for backup in backups_in(folder, database)]
    # Hand-worked: three latest; the day's last (08:00 first, then 20:00 of each day before); the
    # last of each ISO week, whose Sundays are 8 March and 1 March.
    assert [f"{moment:%m-%d %H}" for moment in left] == [
        "03-12 08", "03-12 02", "03-11 20", "03-10 20", "03-09 20", "03-08 20", "03-01 20",
    ]  # fmt: skip
    assert rotate(folder, database, Keep(latest=3, days=4, weeks=3)) == []


@given(
    ages=st.lists(st.integers(0, 10_000), unique=True, max_size=60),
    keep=st.builds(Keep, st.integers(1, 5), st.integers(0, 5), st.integers(0, 5)),
)
def test_rotation_never_drops_the_newest_and_is_bounded(ages, keep):
    backups = [Backup(Path(f"{age}.db"), START - age * HOUR) for age in ages]
    dropped = to_drop(backups, keep)
    left = [backup for backup in backups if backup not in dropped]
    assert len(left) <= keep.latest + keep.days + keep.weeks
    if backups:
        assert max(backups, key=lambda backup: backup.made_at) in left
    assert to_drop(left, keep) == []


def test_a_restored_backup_takes_the_databases_place_and_the_old_one_is_kept(database, folder):
    backup = back_up(database, folder, START)
    with open_store(database) as store:
        Bench(store).begin("c-2")
    done = restore(backup.path, database, START)
    with open_store(database) as store:
        assert set(store.floor().castings) == set()
        assert store.last_seq() == entries_in(backup.path)
    assert done.kept is not None
    assert done.kept.name == "floor-kept-20260312T080000Z.db"
    with open_store(done.kept) as old:
        assert set(old.floor().castings) == {"c-2"}
    assert backup.path.exists()


def test_restoring_twice_keeps_both(database, folder):
    backup = back_up(database, folder, START)
    kept = {restore(backup.path, database, START).kept for _ in range(3)}
    assert len(kept) == 3
    assert all(path is not None and verify(path) == [] for path in kept)


def test_nothing_is_restored_under_an_open_board(database, folder):
    backup = back_up(database, folder, START)
    with open_store(database) as store:
        store.floor()
        with pytest.raises(DatabaseBusy, match="Close every board"):
            restore(backup.path, database, START)
        Bench(store).begin("c-2")
        assert set(store.floor().castings) == {"c-2"}


def test_a_backup_that_is_missing_or_unsound_is_not_restored(database, folder):
    with pytest.raises(NoDatabase, match="no backup at"):
        restore(folder / "none.db", database, START)
    backup = back_up(database, folder, START)
    tamper(backup.path, "DELETE FROM works")
    with pytest.raises(BackupFailed, match="Choose an older backup"):
        restore(backup.path, database, START)
    assert verify(database) == []


def test_a_damaged_database_is_put_aside_with_its_log_and_the_backup_takes_its_place(
    database, folder
):
    backup = back_up(database, folder, START)
    content = bytearray(database.read_bytes())
    content[4096 : 4096 * 12] = b"\xff" * (4096 * 11)
    database.write_bytes(bytes(content))
    (database.with_name("floor.db-wal")).write_bytes(b"left behind")
    done = restore(backup.path, database, START)
    assert done.kept is not None
    assert done.kept.read_bytes()[4096:8192] == b"\xff" * 4096
    assert verify(database) == []


def test_a_board_that_had_the_old_database_open_says_that_it_is_gone(database, folder):
    backup = back_up(database, folder, START)
    with open_store(database) as store:
        database.rename(database.with_name("moved.db"))
        restore(backup.path, database, START)
        with pytest.raises(DatabaseGone, match="moved, deleted or replaced"):
            Bench(store).begin("c-2")
        with pytest.raises(DatabaseGone):
            store.last_seq()
    assert entries_in(database) == entries_in(backup.path)


def test_a_log_left_without_its_database_is_neither_thrown_away_nor_mixed_with_a_backup(
    database, folder
):
    backup = back_up(database, folder, START)
    store = open_store(database)
    Bench(store).begin("c-2")
    log = database.with_name("floor.db-wal")
    left = log.read_bytes()
    store.close()
    database.unlink()
    log.write_bytes(left)
    with pytest.raises(NoDatabase, match=r"floor\.db-wal beside it holds entries"):
        open_store(database)
    assert restore(backup.path, database, START).kept is None
    assert verify(database) == []
    assert entries_in(database) == entries_in(backup.path)
    assert database.with_name("floor-kept-20260312T080000Z.db-wal").read_bytes() == left


def test_a_backup_made_while_others_log_is_sound(database, folder):
    with open_store(database) as store, closing(sqlite3.connect(database)) as other:
        other.execute("BEGIN")
        other.execute("SELECT count(*) FROM entries").fetchone()
        Bench(store).begin("c-2")
        assert entries_in(back_up(database, folder, START).path) == store.last_seq()
