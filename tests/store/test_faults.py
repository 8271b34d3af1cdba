"""When the disk fails, nothing that was acknowledged is lost and nothing is half logged."""

from __future__ import annotations

import ctypes
import errno
import multiprocessing
import os
import platform
import resource
import struct
import sys
from pathlib import Path

import pytest

from floorboard.floor import events as e
from floorboard.store import event_log
from floorboard.store.errors import DatabaseGone, DiskFailed, DiskFull, NoDatabase
from floorboard.store.sqlite_store import open_store
from floorboard.store.verify import verify
from tests.store.small_shop import SHOP, START, Bench

FORKING = multiprocessing.get_context("fork")
A_LONG_NOTE = "The window side was damp again. " * 60


@pytest.fixture
def database(tmp_path: Path) -> Path:
    path = tmp_path / "floor.db"
    with open_store(path) as store:
        store.load_shop(SHOP, source="x", at=START, person=None, station="")
        Bench(store).begin("c-1")
    return path


def in_a_process(target, *args: object) -> list[str]:
    """Run a function in a process of its own and return what it said."""
    said = FORKING.Queue()
    process = FORKING.Process(target=target, args=(said, *args))
    process.start()
    answer = said.get(timeout=60)
    process.join()
    assert process.exitcode == 0
    return list(answer)


def ids_in(path: Path) -> list[str]:
    with open_store(path, read_only=True) as store:
        return [entry.id for entry in event_log.every(store._connection)]


def test_a_full_disk_is_said_to_be_full_and_what_was_logged_before_stands(database):
    with open_store(database) as store:
        bench = Bench(store)
        pages = store._connection.execute("PRAGMA page_count").fetchone()[0]
        store._connection.execute(f"PRAGMA max_page_count = {pages + 5}")
        acknowledged: list[e.Entry] = []

        def log_on() -> None:
            for _ in range(100):
                acknowledged.extend(bench.log(e.Noted(note=A_LONG_NOTE, casting="c-1")))

        with pytest.raises(DiskFull, match=r"is full\. Nothing was logged; free some space"):
            log_on()
        before = store.floor()
        store._connection.execute("PRAGMA max_page_count = 1000000")
        (after,) = bench.log(e.MoldReadied(casting="c-1"))
        assert after.seq == before.last_seq + 1
    assert ids_in(database)[2:] == [entry.id for entry in [*acknowledged, after]]
    assert verify(database) == []


def log_until_it_fails(said, path: str, room: int) -> None:
    """Log under a limit on the size of any file, then with the limit lifted."""
    answers = []
    with open_store(path) as store:
        bench = Bench(store)
        _, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
        resource.setrlimit(resource.RLIMIT_FSIZE, (room, hard))
        try:
            for _ in range(2000):
                answers += [x.id for x in bench.log(e.Noted(note=A_LONG_NOTE, casting="c-1"))]
        except (DiskFull, DiskFailed) as error:
            resource.setrlimit(resource.RLIMIT_FSIZE, (hard, hard))
            answers += [x.id for x in bench.log(e.MoldReadied(casting="c-1"))]
            answers.append(f"{type(error).__name__} {error}")
    said.put(answers)


@pytest.mark.parametrize("room", [250_000, 400_000, 410_123])
def test_a_limit_on_the_size_of_files_is_met_and_survived(database, room):
    *acknowledged, said = in_a_process(log_until_it_fails, str(database), room)
    assert said.startswith(("DiskFull The disk", "DiskFailed The disk")), said
    assert "log it again" in said
    assert ids_in(database)[2:] == acknowledged
    assert verify(database) == []


# Numbers of fsync and fdatasync, and the name of the machine as seccomp has it:
# linux/audit.h and asm/unistd.h of each.
SYNC_CALLS = {"x86_64": (0xC000003E, 74, 75), "aarch64": (0xC00000B7, 82, 83)}


def refuse_to_sync() -> None:
    """Let every fsync of this process fail with an input/output error from now on.

    A seccomp filter in the classic form: load the architecture and the call's number, compare,
    return "errno" or "allow" (linux/seccomp.h, linux/filter.h).
    """
    machine, *calls = SYNC_CALLS[platform.machine()]
    allow, fail = 0x7FFF0000, 0x00050000 | errno.EIO
    program = [
        (0x20, 0, 0, 4),
        (0x15, 0, 4, machine),
        (0x20, 0, 0, 0),
        (0x15, 1, 0, calls[0]),
        (0x15, 0, 1, calls[1]),
        (0x06, 0, 0, fail),
        (0x06, 0, 0, allow),
    ]
    code = ctypes.create_string_buffer(b"".join(struct.pack("HBBI", *line) for line in program))
    packed = struct.pack("HxxxxxxP", len(program), ctypes.addressof(code))
    libc = ctypes.CDLL(None, use_errno=True)
    assert libc.prctl(38, 1, 0, 0, 0) == 0
    assert libc.prctl(22, 2, ctypes.c_char_p(packed), 0, 0) == 0, os.strerror(ctypes.get_errno())


def log_onto_a_disk_that_fails(said, path: str) -> None:
    """Log once on a sound disk, then on one that cannot sync."""
    answers = []
    with open_store(path) as store:
        bench = Bench(store)
        answers += [entry.id for entry in bench.log(e.Noted(note="sound", casting="c-1"))]
        refuse_to_sync()
        try:
            bench.log(e.MoldReadied(casting="c-1"))
            answers.append("acknowledged")
        except DiskFailed as error:
            answers.append(str(error))
    said.put(answers)


if sys.platform == "linux" and platform.machine() in SYNC_CALLS:

    def test_an_entry_that_could_not_be_forced_to_the_disk_is_not_acknowledged(database):
        sound, said = in_a_process(log_onto_a_disk_that_fails, str(database))
        assert "refused to read or write. Nothing was acknowledged" in said
        assert sound in ids_in(database)
        assert verify(database) == []


def test_a_database_deleted_under_a_running_board_is_noticed_at_once(database):
    with open_store(database) as store:
        before = store.last_seq()
        database.unlink()
        with pytest.raises(DatabaseGone, match=r"moved, deleted or replaced .* restore a backup"):
            store.last_seq()
        with pytest.raises(DatabaseGone):
            Bench(store).log(e.MoldReadied(casting="c-1"))
        assert store.floor().last_seq == before


def test_a_database_replaced_under_a_running_board_takes_no_entry(database, tmp_path):
    other = tmp_path / "other.db"
    open_store(other).close()
    with open_store(database) as store:
        os.replace(other, database)
        with pytest.raises(DatabaseGone):
            Bench(store).log(e.MoldReadied(casting="c-1"))
    assert ids_in(database) == []


def test_a_write_ahead_log_deleted_under_a_running_board_is_noticed(database):
    with open_store(database) as store:
        Bench(store).log(e.Noted(note="x"))
        database.with_name("floor.db-wal").unlink()
        with pytest.raises(DatabaseGone):
            Bench(store).log(e.MoldReadied(casting="c-1"))


def test_an_entry_logged_while_the_database_was_moved_away_is_not_acknowledged(
    database, monkeypatch
):
    """Moved between the look before the write and the look after it."""
    with open_store(database) as store:
        insert = event_log.insert

        def insert_and_move(*args: object, **named: object) -> None:
            insert(*args, **named)
            database.rename(database.with_name("moved.db"))

        monkeypatch.setattr(event_log, "insert", insert_and_move)
        with pytest.raises(DatabaseGone):
            Bench(store).log(e.MoldReadied(casting="c-1"))
    with pytest.raises(NoDatabase):
        open_store(database, read_only=True)


def test_what_a_killed_process_left_in_the_write_ahead_log_is_there(database):
    def log_and_die(said) -> None:
        store = open_store(database)
        entries = Bench(store).log(e.MoldReadied(casting="c-1"))
        said.put([entry.id for entry in entries])
        said.close()
        said.join_thread()
        os.kill(os.getpid(), 9)

    said = FORKING.Queue()
    process = FORKING.Process(target=log_and_die, args=(said,))
    process.start()
    (acknowledged,) = said.get(timeout=60)
    process.join()
    assert process.exitcode == -9
    assert database.with_name("floor.db-wal").stat().st_size > 0
    assert ids_in(database)[-1] == acknowledged
    assert verify(database) == []
