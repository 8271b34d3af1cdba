"""What cannot be opened is refused in a sentence; what is old is migrated, after a backup."""

from __future__ import annotations

import multiprocessing
import os
import sqlite3
import subprocess
import sys
import tempfile
from contextlib import closing
from pathlib import Path

import pytest

from floorboard.floor import events as e
from floorboard.shop.errors import StoreError
from floorboard.store import connect as connecting
from floorboard.store import migrations
from floorboard.store.connect import connect
from floorboard.store.errors import (
    DamagedDatabase,
    DatabaseBusy,
    NewerDatabase,
    NoDatabase,
    NoFolder,
    NotADatabase,
    ReadOnlyDatabase,
)
from floorboard.store.sqlite_store import open_store
from floorboard.store.verify import quick_check, verify
from tests.store.small_shop import SHOP, START, Bench

FIXTURES = Path(__file__).parent / "fixtures"
NAMES = [step.__name__ for step in migrations.STEPS]


@pytest.fixture
def database(tmp_path: Path) -> Path:
    path = tmp_path / "floor.db"
    with open_store(path) as store:
        store.load_shop(SHOP, source="x", at=START, person=None, station="")
        Bench(store).cast_bowl("c-1")
    return path


def test_a_folder_that_is_missing_is_named(tmp_path):
    with pytest.raises(NoFolder, match=r"nowhere does not exist\. Make it"):
        open_store(tmp_path / "nowhere" / "floor.db")


def test_a_folder_is_no_database(tmp_path):
    with pytest.raises(NotADatabase, match="is a folder"):
        open_store(tmp_path)


def test_reading_a_database_that_is_not_there_makes_none(tmp_path):
    with pytest.raises(NoDatabase, match="no database at"):
        open_store(tmp_path / "floor.db", read_only=True)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("content", [b"hello", b"SQLite format 3", b"\x89PNG" * 2000])
def test_a_file_of_something_else_is_refused_and_left_as_it_was(tmp_path, content):
    path = tmp_path / "floor.db"
    path.write_bytes(content)
    with pytest.raises(NotADatabase, match="is not a floorboard database"):
        open_store(path)
    assert path.read_bytes() == content


def test_a_file_that_only_begins_like_a_database_is_refused(tmp_path):
    path = tmp_path / "floor.db"
    path.write_bytes(b"SQLite format 3\x00" + b"\xff" * 5000)
    with pytest.raises((NotADatabase, DamagedDatabase)):
        open_store(path)


def test_an_empty_file_becomes_a_database(tmp_path):
    path = tmp_path / "floor.db"
    path.touch()
    with open_store(path) as store:
        assert store.last_seq() == 0


def test_a_database_of_another_program_is_refused_and_left_as_it_was(tmp_path):
    path = tmp_path / "floor.db"
    with closing(sqlite3.connect(path)) as other:
        other.execute("CREATE TABLE recipes (name TEXT)")
    with pytest.raises(NotADatabase, match="another program"):
        open_store(path)
    with closing(sqlite3.connect(path)) as other:
        tables = other.execute("SELECT name FROM sqlite_master").fetchall()
    assert tables == [("recipes",)]


def test_a_database_of_a_newer_version_is_refused_and_left_as_it_was(database):
    with closing(sqlite3.connect(database)) as newer:
        newer.execute(
            "INSERT INTO _sqlite_migrations (migration_set, name, applied_at)"
            " VALUES ('floorboard', 'm999_from_the_future', 'later')"
        )
        newer.commit()
    with pytest.raises(NewerDatabase, match="m999_from_the_future is not known here"):
        open_store(database)
    with pytest.raises(NewerDatabase):
        open_store(database, read_only=True)


def test_a_database_held_by_another_program_is_waited_for_and_then_said_to_be_held(
    database, monkeypatch
):
    monkeypatch.setattr(connecting, "BUSY_SECONDS", 0.05)
    with open_store(database) as store, closing(connect(database)) as holder:
        holder.execute("BEGIN IMMEDIATE")
        with pytest.raises(DatabaseBusy, match=r"held by another program\. Nothing was logged"):
            Bench(store).begin("c-2")
        holder.execute("ROLLBACK")
        Bench(store).begin("c-2")
        assert set(store.floor().castings) == {"c-2"}


AS_NOBODY = """
import os, sys
from pathlib import Path
sys.path.insert(0, sys.argv[2])
import sqlite_utils
from floorboard.floor import events as e
from floorboard.store.sqlite_store import open_store
from tests.store.small_shop import START, Bench
if os.geteuid() == 0:
    os.setgid(65534)
    os.setuid(65534)
from floorboard.floor import events as e
from floorboard.shop.errors import StoreError
path = Path(sys.argv[1])
for read_only in (True, False):
    try:
        with open_store(path, read_only=read_only) as store:
            print("read", store.last_seq())
            if not read_only:
                Bench(store).log(e.Noted(note="x"))
                print("logged")
    except StoreError as error:
        print(type(error).__name__, str(error).replace(str(path), "FILE"))
"""


def as_nobody(path: Path) -> list[str]:
    """Read and then log as a user without special rights, and return what was said."""
    said = subprocess.run(
        [sys.executable, "-c", AS_NOBODY, str(path), os.getcwd()],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONDONTWRITEBYTECODE": "1"},
    )
    return said.stdout.splitlines()


@pytest.fixture
def open_folder():
    """A folder anyone can reach; pytest's own is closed to others."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        folder.chmod(0o755)
        yield folder
        folder.chmod(0o755)


def test_a_read_only_file_or_folder_can_be_read_and_says_that_nothing_was_logged(
    database, open_folder
):
    path = open_folder / "floor.db"
    path.write_bytes(database.read_bytes())
    path.chmod(0o444)
    open_folder.chmod(0o555)
    read, *rest = as_nobody(path)
    assert read.startswith("read ")
    assert rest[-1].startswith("ReadOnlyDatabase FILE cannot be written, so nothing was logged")


def test_a_file_one_may_not_read_is_said_to_be_that(open_folder):
    path = open_folder / "floor.db"
    path.write_bytes(b"SQLite format 3\x00")
    path.chmod(0o000)
    said = as_nobody(path)
    assert said == ["NoDatabase FILE cannot be read (Permission denied). Check your rights."] * 2


def test_opening_an_up_to_date_database_does_not_import_what_is_slow(database):
    code = (
        "import sys\n"
        "from floorboard.store.sqlite_store import open_store\n"
        "with open_store(sys.argv[1]) as store:\n"
        "    store.shop(), store.floor(), store.latest()\n"
        "print([m for m in ('sqlite_utils', 'pandas', 'numpy', 'textual') if m in sys.modules])\n"
    )
    said = subprocess.run(
        [sys.executable, "-c", code, str(database)], capture_output=True, text=True, check=True
    )
    assert said.stdout.strip() == "[]"


def test_every_commit_waits_for_the_disk(database):
    with open_store(database) as store:
        asked = {
            pragma: store._connection.execute(f"PRAGMA {pragma}").fetchone()[0]
            for pragma in ("synchronous", "journal_mode", "foreign_keys", "busy_timeout")
        }
    # synchronous 2 is FULL: https://sqlite.org/pragma.html#pragma_synchronous
    assert asked == {
        "synchronous": 2,
        "journal_mode": "wal",
        "foreign_keys": 1,
        "busy_timeout": 5000,
    }


def open_at_once(path: str, start, said) -> None:
    start.wait()
    try:
        with open_store(path) as store:
            said.put(store.last_seq())
    except StoreError as error:
        said.put(str(error))


def test_eight_processes_may_open_a_fresh_database_at_once(tmp_path):
    import sqlite_utils  # noqa: F401, so that every process has it at hand and none comes late

    forking = multiprocessing.get_context("fork")
    for attempt in range(2):
        path = tmp_path / f"floor-{attempt}.db"
        start, said = forking.Barrier(8), forking.Queue()
        processes = [
            forking.Process(target=open_at_once, args=(str(path), start, said)) for _ in range(8)
        ]
        for process in processes:
            process.start()
        assert [said.get(timeout=60) for _ in processes] == [0] * 8
        for process in processes:
            process.join()
        with closing(connect(path)) as connection:
            assert migrations.applied(connection) == NAMES


@pytest.mark.parametrize("dump", sorted(FIXTURES.glob("m*.sql")), ids=lambda path: path.stem)
def test_a_database_of_every_released_version_opens_as_it_was(dump, tmp_path):
    path = tmp_path / "floor.db"
    with closing(sqlite3.connect(path)) as old:
        old.executescript(dump.read_text(encoding="utf-8"))
    with open_store(path) as store:
        assert store.shop() == SHOP
        assert set(store.floor().castings) == {"c-2", "c-3"}
        assert store.last_seq() == 29
        Bench(store).log(e.MoldReadied(casting="c-3"))
    assert verify(path) == []


def test_a_database_is_backed_up_before_it_is_migrated(database):
    def m900_test_only(db) -> None:
        db.conn.execute("CREATE TABLE added (x TEXT) STRICT")

    before = database.read_bytes()
    with closing(connect(database)) as connection:
        assert migrations.migrate(connection, database) is None
        steps = (*migrations.STEPS, m900_test_only)
        backup = migrations.migrate(connection, database, steps)
        assert migrations.applied(connection) == [*NAMES, "m900_test_only"]
    assert backup is not None
    assert backup.name == f"floor.after-{NAMES[-1]}.db"
    assert len(backup.read_bytes()) <= len(before)
    with open_store(backup) as store:
        assert store.shop() == SHOP


def test_a_migration_that_fails_leaves_the_database_as_it_was(database):
    def m900_fails(db) -> None:
        db.conn.execute("DROP TABLE works")
        db.conn.execute("no such statement")

    with closing(connect(database)) as connection:
        with pytest.raises(sqlite3.OperationalError):
            migrations.migrate(connection, database, (*migrations.STEPS, m900_fails))
        assert migrations.applied(connection) == NAMES
    assert verify(database) == []


def test_a_damaged_page_is_found_and_a_restore_is_offered(database):
    content = bytearray(database.read_bytes())
    for page in range(2, len(content) // 4096):
        if page % 2:
            content[page * 4096 : page * 4096 + 64] = b"\xff" * 64
    database.write_bytes(bytes(content))
    assert quick_check(database) != []
    with pytest.raises(DamagedDatabase, match="floorboard restore"):
        open_store(database)


def test_a_read_only_store_refuses_to_log_before_it_tries(database):
    with open_store(database, read_only=True) as store, pytest.raises(ReadOnlyDatabase):
        Bench(store).begin("c-9")


def test_a_peek_shows_the_shop_and_the_floor_and_writes_nothing(tmp_path):
    from floorboard.store.peek import peek
    from tests.board_run import session_on

    path = tmp_path / "floor.db"
    with session_on(path) as (session, _):
        press = session.press_for_mold(
            next(iter(session.shop.molds)), next(iter(session.shop.people))
        )
        session.confirm(press)
    before = path.read_bytes()
    shop, floor = peek(path)
    assert shop == session.shop
    assert floor == session.floor
    assert path.read_bytes() == before
