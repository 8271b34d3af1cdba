"""The checks find what is wrong with a database, and say nothing of a sound one."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from floorboard.floor import events as e
from floorboard.floor.floor import Floor
from floorboard.store.errors import DamagedDatabase
from floorboard.store.event_codec import UnreadableEntry, checksum
from floorboard.store.peek import peek
from floorboard.store.refill import refill_database
from floorboard.store.sqlite_store import open_store
from floorboard.store.verify import quick_check, verify
from tests.store.small_shop import SHOP, START, Bench


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "shop.db"
    with open_store(path) as store:
        store.load_shop(SHOP, source="x", at=START, person=None, station="")
        bench = Bench(store)
        bench.log(e.LotReceived(material="powder", lot="L1", grams=25_000))
        bench.log(e.ConditionsRead(room_celsius=21))
        bench.log(e.PersonLeft(who="bo"))
        bench.cast_bowl("c-1")
        bench.log(e.CastingWeighed(casting="c-1", grams=640))
        bench.begin("c-2", "tile-1")
        (note,) = bench.log(e.Noted(note="x", casting="c-2"))
        bench.strike(note.seq)
        bench.log(e.MoldReadied(casting="c-9"))
        bench.log(e.StockCounted(material="powder", lot="L1", grams=24_000))
    return path


def tamper(path: Path, *statements: str) -> None:
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        triggers = connection.execute(
            "SELECT name, sql FROM sqlite_master WHERE type = 'trigger'"
        ).fetchall()
        for name, _ in triggers:
            connection.execute(f"DROP TRIGGER {name}")
        for statement in statements:
            connection.execute(statement)
        for _, sql in triggers:
            connection.execute(sql)


def test_a_sound_database_gives_no_findings(path):
    assert quick_check(path) == []
    assert verify(path) == []


@pytest.mark.parametrize(
    ("statement", "where", "sentence"),
    [
        (
            "UPDATE entries SET data = replace(data, '640', '460')",
            "entries",
            "not as it was written",
        ),
        ("UPDATE entries SET at = replace(at, '08:', '09:') WHERE seq = 5", "entries", "Entry 5"),
        ("UPDATE entries SET kind = 'casting eaten' WHERE seq = 5", "entries", "Entry 5"),
        ("DELETE FROM entries WHERE seq = 4", "entries", "After entry 3 comes entry 5"),
        ("UPDATE entries SET struck_by = NULL", "entries", "do not name each other"),
        ("UPDATE entries SET struck_by = 9 WHERE seq = 8", "entries", "do not name each other"),
        ("UPDATE entries SET batch = 'B-x' WHERE seq = 8", "entries", "not filed under"),
        ("DELETE FROM entry_castings WHERE seq = 6", "entries", "Entry 6 is not filed under"),
        ("INSERT INTO entry_castings VALUES ('c-7', 6)", "entry_castings", "not about"),
        (
            "UPDATE builds SET json = replace(json, 'Bowl', 'Bawl')",
            "builds",
            "not as it was written",
        ),
        ("UPDATE castings SET demolded_at = NULL", "castings", "c-1 is not what the log says"),
        ("UPDATE castings SET state = replace(state, 'ana', 'bo')", "castings", "c-1 is not what"),
        ("DELETE FROM batches WHERE serial = 'Bc-1-0'", "batches", "Bc-1-0 is missing"),
        ("UPDATE works SET person = 'bo'", "works", "not what the log says"),
        ("DELETE FROM stock WHERE kind = 'counted'", "stock", "is missing"),
        ("UPDATE weighings SET grams = grams + 1", "weighings", "not what the log says"),
        ("DELETE FROM readings", "readings", "is missing"),
        ("DELETE FROM flags", "flags", "is missing"),
        ("UPDATE molds SET pulls = 7", "molds", "bowl-1 is not what the log says"),
        ("DELETE FROM away", "away", "bo is missing"),
        ("UPDATE conditions SET at = '2020'", "conditions", "not what the log says"),
        ("INSERT INTO away VALUES ('zoe', '2026')", "away", "zoe is there, but nothing in the log"),
    ],
)
def test_what_was_tampered_with_is_found(path, statement, where, sentence):
    tamper(path, "PRAGMA foreign_keys = OFF", statement)
    found = [str(finding) for finding in verify(path)]
    assert any(text.startswith(where) and sentence in text for text in found), found


def test_the_quick_check_sees_the_latest_entries(path):
    tamper(path, "UPDATE entries SET data = replace(data, '640', '460')")
    assert any("not as it was written" in finding.sentence for finding in quick_check(path))


def test_no_more_findings_are_listed_than_anyone_reads(path):
    with open_store(path) as store:
        bench = Bench(store)
        for _ in range(30):
            bench.log(*[e.Noted(note="x") for _ in range(10)])
    tamper(path, "UPDATE entries SET checksum = 0")
    assert len(verify(path)) == 200


def test_tables_that_went_wrong_are_filled_again_from_the_log(path):
    emptied = ["castings", "batches", "molds", "works", "stock", "flags", "away", "conditions"]
    tamper(path, *(f"DELETE FROM {table}" for table in emptied))
    assert verify(path) != []
    refill_database(path)
    assert verify(path) == []
    with open_store(path) as store:
        assert set(store.floor().castings) == {"c-2"}


def floor_in(path: Path) -> Floor:
    with open_store(path) as store:
        return store.floor()


@pytest.mark.parametrize("look", [floor_in, peek])
@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE castings SET state = '{'",
        "UPDATE castings SET state = '{}'",
        "UPDATE castings SET build = 'gone'",
        "UPDATE batches SET closed = 0, state = 'null'",
        "UPDATE away SET since = 'yesterday'",
        "UPDATE conditions SET data = '7'",
    ],
)
def test_a_floor_that_makes_no_sense_is_said_to_be_damaged_and_can_be_repaired(
    path, statement, look
):
    tamper(path, statement)
    with pytest.raises(DamagedDatabase, match="check --repair"):
        look(path)
    refill_database(path)
    with open_store(path) as store:
        assert set(store.floor().castings) == {"c-2"}


UNREADABLE = ["data = '{'", "person = 'A B'", "kind = 'casting eaten'", "at = 'noon'"]


@pytest.mark.parametrize("what", UNREADABLE)
def test_an_entry_that_makes_no_sense_is_said_to_be_unreadable(path, what):
    tamper(path, f"UPDATE entries SET {what} WHERE seq = 9")
    with (
        open_store(path) as store,
        pytest.raises(UnreadableEntry, match=r"^Entry 9 cannot be read"),
    ):
        store.latest(1000)
    with pytest.raises(UnreadableEntry, match="Entry 9"):
        refill_database(path)


@pytest.mark.parametrize("what", UNREADABLE)
def test_the_check_names_an_unreadable_entry_once_and_does_not_send_one_back_to_it(path, what):
    tamper(path, f"UPDATE entries SET {what} WHERE seq = 9")
    columns = "seq, id, at, logged_at, kind, version, person, station, data"
    with closing(sqlite3.connect(path)) as connection:
        (row,) = connection.execute(f"SELECT {columns} FROM entries WHERE seq = 9")
    tamper(path, f"UPDATE entries SET checksum = {checksum(*row)} WHERE seq = 9")
    (said,) = [str(finding) for finding in quick_check(path)]
    assert said.count("Entry 9") == 1
    assert "floorboard check" not in said
