"""The log: what is appended is there, whole, in order, once; a strike leaves it readable."""

from __future__ import annotations

import datetime as dt
import sqlite3
from pathlib import Path

import pytest

from floorboard.floor import events as e
from floorboard.shop.build import build_of
from floorboard.shop.errors import StaleFloor
from floorboard.store.errors import CannotStrike, IdTaken, NoSuchEntry, ReadOnlyDatabase
from floorboard.store.sqlite_store import open_store
from tests.store.small_shop import BUILDS, SHOP, START, Bench, minutes
from tests.tiny_shop import after, tiny_shop


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "shop.db"


@pytest.fixture
def store(path: Path):
    with open_store(path) as opened:
        yield opened


def test_an_empty_database_has_no_shop_no_entries_and_an_empty_floor(store):
    assert store.shop() is None
    assert store.last_seq() == 0
    assert store.latest() == []
    assert store.floor().castings == {}


def test_the_shop_comes_back_as_it_was_loaded(store, path):
    entry = store.load_shop(SHOP, source="shop.toml", at=START, person="ana", station="east")
    assert isinstance(entry.event, e.ShopLoaded)
    assert store.shop() == SHOP
    with open_store(path) as again:
        assert again.shop() == SHOP
        assert again.shop().model_dump_json() == SHOP.model_dump_json()


def test_a_struck_load_brings_back_the_shop_before(store):
    first = store.load_shop(SHOP, source="a", at=START, person=None, station="")
    renamed = SHOP.model_copy(update={"shop": SHOP.shop.model_copy(update={"name": "New"})})
    second = store.load_shop(renamed, source="b", at=START, person=None, station="")
    assert store.shop().shop.name == "New"
    store.strike(second.seq, reason="", logged_at=START, person=None, station="")
    assert store.shop() == SHOP
    with pytest.raises(CannotStrike, match="only shop"):
        store.strike(first.seq, reason="", logged_at=START, person=None, station="")


def test_what_is_appended_is_read_back_the_same_by_another_connection(store, path):
    bench = Bench(store)
    entries = [bench.begin("c-1")]
    entries += bench.log(
        e.MoldReadied(casting="c-1"), e.Noted(note="d'accord 🙂 אב", casting="c-1")
    )
    with open_store(path, read_only=True) as other:
        assert other.latest() == entries[::-1]
        assert other.of_casting("c-1") == entries
        assert list(other.between(minutes(2), minutes(3))) == entries[1:]
        assert other.floor() == store.floor()


def test_a_moment_is_kept_to_the_microsecond_and_in_utc(store):
    import datetime as dt

    at = dt.datetime(2026, 3, 12, 10, 0, 0, 123456, tzinfo=dt.timezone(dt.timedelta(hours=2)))
    (entry,) = store.append([(at, e.Noted(note="x"))], logged_at=START, person=None, station="east")
    (read,) = store.latest()
    assert read == entry
    assert read.at == at
    assert read.at.utcoffset() == dt.timedelta(0)


def test_all_events_of_one_append_are_logged_or_none(store):
    bench = Bench(store)
    bench.begin("c-1")
    build = store.keep_build(BUILDS["bowl"])
    taken = e.CastingBegun(casting="c-1", mold="bowl-2", piece="bowl", build=build)
    before = store.floor()
    with pytest.raises(StaleFloor, match="c-1 was already begun"):
        bench.log(e.MoldReadied(casting="c-1"), taken)
    assert store.last_seq() == 1
    assert store.floor() == before
    assert bench.log(e.MoldReadied(casting="c-1"))[0].seq == 2


def test_the_same_id_twice_is_one_entry(store):
    happened = [(START, e.Noted(note="a")), (START, e.Noted(note="b"))]
    once = store.append(happened, logged_at=START, person="bo", station="", ids=["i", "j"])
    twice = store.append(happened, logged_at=START, person="bo", station="", ids=["i", "j"])
    assert once == twice
    assert store.last_seq() == 2
    more = store.append(
        [*happened, (START, e.Noted(note="c"))],
        logged_at=START,
        person="bo",
        station="",
        ids=["i", "j", "k"],
    )
    assert [entry.seq for entry in more] == [1, 2, 3]


def test_an_id_used_for_something_else_is_refused(store):
    store.append([(START, e.Noted(note="a"))], logged_at=START, person="bo", station="", ids=["i"])
    with pytest.raises(IdTaken, match="already stands for entry 1"):
        store.append(
            [(START, e.Noted(note="b"))], logged_at=START, person="bo", station="", ids=["i"]
        )
    assert store.last_seq() == 1


def test_a_press_on_a_stale_floor_is_refused_only_where_it_is_about_the_same(store, path):
    here, bo = Bench(store), "bo"
    here.begin("c-1", "bowl-1")
    here.begin("c-2", "bowl-2")
    seen = store.last_seq()
    with open_store(path) as tablet:
        there = Bench(tablet, person=bo, station="west")
        there.log(e.MoldReadied(casting="c-1"), expected_seq=seen)
        with pytest.raises(
            StaleFloor, match=r"'mold readied' was logged by bo at west about casting c-1"
        ):
            here.log(e.MoldReadied(casting="c-1"), expected_seq=seen)
        here.log(e.MoldReadied(casting="c-2"), expected_seq=seen)
    kinds = [entry.event.kind for entry in store.latest()]
    assert kinds.count("mold readied") == 2


@pytest.mark.parametrize(
    ("theirs", "mine", "what"),
    [
        (e.MoldTakenOut(mold="bowl-2"), e.MoldCaredFor(mold="bowl-2"), "mold bowl-2"),
        (e.BatchLost(batch="B-1"), e.BatchWetted(batch="B-1"), "batch B-1"),
        (e.PersonLeft(who="ana"), e.Noted(note="about ana"), "person ana"),
    ],
)
def test_a_stale_press_names_what_it_shares(store, path, theirs, mine, what):
    bench = Bench(store)
    bench.batch("B-1")
    seen = store.last_seq()
    with open_store(path) as tablet:
        Bench(tablet, person="bo").log(theirs)
    with pytest.raises(StaleFloor, match=what):
        bench.log(mine, expected_seq=seen)


def test_a_strike_meanwhile_makes_a_press_about_the_struck_casting_stale(store, path):
    bench = Bench(store)
    begun = bench.begin("c-1")
    seen = store.last_seq()
    with open_store(path) as tablet:
        Bench(tablet, person="bo").strike(begun.seq)
    with pytest.raises(StaleFloor, match="casting c-1"):
        bench.log(e.MoldReadied(casting="c-1"), expected_seq=seen)


def test_a_struck_entry_stays_readable_and_counts_for_nothing(store):
    bench = Bench(store)
    bench.begin("c-1")
    (readied,) = bench.log(e.MoldReadied(casting="c-1"))
    strike = bench.strike(readied.seq)
    assert store.floor().castings["c-1"].readied_at is None
    assert store.of_casting("c-1") == [
        store.latest()[2],
        readied.model_copy(update={"struck_by": strike.seq}),
        strike,
    ]


def test_striking_the_beginning_takes_the_casting_off_the_floor(store):
    bench = Bench(store)
    begun = bench.begin("c-1")
    bench.strike(begun.seq)
    assert store.floor().castings == {}
    bench.begin("c-1", "bowl-2")
    assert store.floor().castings["c-1"].mold == "bowl-2"


def test_what_cannot_be_struck_is_refused_in_a_sentence(store):
    bench = Bench(store)
    (note,) = bench.log(e.Noted(note="x"))
    strike = bench.strike(note.seq)
    with pytest.raises(CannotStrike, match="struck already, by entry 2"):
        bench.strike(note.seq)
    with pytest.raises(CannotStrike, match="cannot be struck itself"):
        bench.strike(strike.seq)
    for seq in (0, 99, -1, 2**70):
        with pytest.raises(NoSuchEntry, match="no entry"):
            bench.strike(seq)
    assert store.last_seq() == 2


@pytest.mark.parametrize(
    "statement",
    [
        "DELETE FROM entries",
        "DELETE FROM entry_castings",
        "UPDATE entries SET data = '{}'",
        "UPDATE entries SET at = '2020-01-01T00:00:00.000000+00:00'",
        "UPDATE entries SET struck_by = NULL WHERE struck_by IS NOT NULL",
        "UPDATE entry_castings SET casting = 'c-9'",
        "INSERT OR REPLACE INTO entries SELECT * FROM entries",
    ],
)
def test_the_database_itself_refuses_to_change_or_delete_entries(store, statement):
    bench = Bench(store)
    begun = bench.begin("c-1")
    bench.strike(begun.seq)
    before = store.latest()
    with pytest.raises(sqlite3.IntegrityError, match="never"):
        store._connection.execute(statement)
    assert store.latest() == before


def test_a_store_opened_for_reading_logs_nothing(store, path):
    with open_store(path, read_only=True) as reader:
        with pytest.raises(ReadOnlyDatabase, match="opened for reading"):
            Bench(reader).log(e.Noted(note="x"))
        with pytest.raises(ReadOnlyDatabase):
            reader.new_serial(START.date())


def test_serial_numbers_count_up_by_day_and_are_given_out_once(store, path):
    day = START.date()
    with open_store(path) as other:
        given = [s.new_serial(day) for s in (store, other, store, other)]
    assert given == ["260312-01", "260312-02", "260312-03", "260312-04"]
    assert store.new_batch_serial(day) == "B260312-01"
    assert store.new_serial(day.replace(day=13)) == "260313-01"


def test_the_floor_handed_out_is_never_changed_afterwards(store):
    bench = Bench(store)
    bench.begin("c-1")
    bench.batch("B-1", ("c-1", 0))
    held = store.floor()
    seen = (repr(held.castings), repr(held.batches), repr(held.molds), held.last_seq)
    bench.log(e.LayerBegun(casting="c-1", layer=0, batch="B-1"))
    bench.log(e.LayerApplied(casting="c-1", layer=0, batch="B-1"))
    bench.log(e.CastingRejected(casting="c-1", reason="void"))
    bench.begin("c-2")
    assert (repr(held.castings), repr(held.batches), repr(held.molds), held.last_seq) == seen


def test_another_stations_entries_are_seen_by_asking_for_the_last_number(store, path):
    with open_store(path) as other:
        assert (store.last_seq(), other.last_seq()) == (0, 0)
        Bench(store).begin("c-1")
        assert (store.last_seq(), other.last_seq()) == (1, 1)
        assert set(other.floor().castings) == {"c-1"}
        Bench(other).log(e.MoldReadied(casting="c-1"))
        assert (store.last_seq(), other.last_seq()) == (2, 2)
        assert store.floor() == other.floor()


def test_striking_an_application_that_names_no_batch_opens_its_batch_again(store):
    bench = Bench(store)
    bench.begin("c-1")
    bench.batch("B-1", ("c-1", 0))
    bench.log(e.LayerBegun(casting="c-1", layer=0, batch="B-1"))
    (applied,) = bench.log(e.LayerApplied(casting="c-1", layer=0))
    assert list(store.floor().open_batches()) == []
    bench.strike(applied.seq)
    (batch,) = store.floor().open_batches()
    assert batch.served == set()
    assert store.floor().molds == {}


def test_serials_go_on_after_those_that_came_with_an_imported_log(tmp_path):
    store = open_store(tmp_path / "f.db")
    store.load_shop(tiny_shop(), source="", at=after(0), person=None, station="")
    build = store.keep_build(build_of(tiny_shop(), "bowl"))
    imported = e.CastingBegun(casting="260302-07", mold="m1", piece="bowl", build=build)
    store.append([(after(0), imported)], logged_at=after(0), person=None, station="")
    day = dt.date(2026, 3, 2)
    assert [store.new_serial(day), store.new_serial(day)] == ["260302-08", "260302-09"]
    assert store.new_batch_serial(day) == "B260302-01"
    store.close()
