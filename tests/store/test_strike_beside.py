"""A strike far back is worked out beside the database, and comes to the same as in it."""

from __future__ import annotations

import contextlib
import datetime as dt
import random
import sqlite3

import pytest
from hypothesis import HealthCheck, given, settings

from benchmarks.synthetic_log import synthetic_entries
from floorboard.floor import events as e
from floorboard.store import sqlite_store, strike_beside
from floorboard.store.errors import CannotStrike, NoSuchEntry
from floorboard.store.sqlite_store import open_store
from floorboard.store.verify import verify
from tests.store.random_days import STEPS, take_through
from tests.store.small_shop import BUILDS, SHOP
from tests.store.test_fold_equality import assert_is_the_fold

LATER = dt.datetime(2030, 3, 11, 9, 0, tzinfo=dt.UTC)
LOG = {"logged_at": LATER, "person": "ana", "station": "east"}
ENTRIES = list(synthetic_entries(SHOP, 160, 5))


@pytest.fixture(autouse=True)
def every_strike_is_far_back(monkeypatch):
    monkeypatch.setattr(sqlite_store, "FAR_BACK", 0)


@pytest.fixture
def path(tmp_path):
    """Return a database with some days in it."""
    path = tmp_path / "days.db"
    with open_store(path) as store, store.filling():
        for build in BUILDS.values():
            store.keep_build(build)
        for entry in ENTRIES:
            if not isinstance(entry.event, e.EntryStruck):
                store.append([(entry.at, entry.event)], **LOG)
    return path


def layer_far_back(store):
    return next(n.seq for n in store.latest(500)[::-1] if n.event.kind == "layer applied")


def more(number):
    """Return entries of castings and batches as they go on, none of them yet in the log."""
    return [
        (entry.at, entry.event)
        for entry in list(synthetic_entries(SHOP, 160 + 2 * number, 5))[160:]
        if not isinstance(entry.event, e.EntryStruck)
    ][:number]


@settings(
    max_examples=20, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(day=STEPS)
def test_random_days_struck_beside_the_database_end_as_the_fold(day, tmp_path_factory):
    path = tmp_path_factory.mktemp("day") / "day.db"
    with open_store(path) as store:
        take_through(store, day, lambda: assert_is_the_fold(store))
    assert verify(path) == []


def test_strikes_anywhere_in_a_log_end_as_its_fold(path):
    rng = random.Random(4)
    with open_store(path) as store:
        for _ in range(12):
            with contextlib.suppress(CannotStrike):
                store.strike(rng.randint(1, store.last_seq()), reason="slip", **LOG)
                assert_is_the_fold(store)
    assert verify(path) == []


def test_other_stations_log_while_a_strike_is_worked_out(path, monkeypatch):
    whole = strike_beside.fold_again
    logged = []

    def fold_slowly(*given):
        # Were the write lock held, this would be refused after the five seconds of patience.
        with open_store(path) as other:
            logged.extend(other.append(more(40), **LOG))
        return whole(*given)

    monkeypatch.setattr(strike_beside, "fold_again", fold_slowly)
    with open_store(path) as store:
        strike = store.strike(layer_far_back(store), reason="slip", **LOG)
        assert [entry.seq for entry in logged] == list(range(strike.seq - 40, strike.seq))
        assert_is_the_fold(store)
    assert verify(path) == []


def logging_meanwhile(path, monkeypatch, times, log):
    """Let another station log just before the write lock is taken, so many times."""
    real, left = strike_beside.beside, [times]

    @contextlib.contextmanager
    def overtaken(*given):
        with real(*given) as copy:
            if left[0]:
                left[0] -= 1
                with open_store(path) as other:
                    log(other)
            yield copy

    monkeypatch.setattr(sqlite_store, "beside", overtaken)
    return left


def test_what_is_logged_at_the_last_moment_is_folded_on(path, monkeypatch):
    left = logging_meanwhile(path, monkeypatch, 1, lambda other: other.append(more(12), **LOG))
    with open_store(path) as store:
        store.strike(layer_far_back(store), reason="slip", **LOG)
        assert left == [0]
        assert_is_the_fold(store)
    assert verify(path) == []


@pytest.mark.parametrize("times", [1, 9])
def test_a_strike_overtaken_by_others_is_worked_out_anew(times, path, monkeypatch):
    def strike_another(other):
        noted = next(
            n.seq for n in other.latest(500) if n.event.kind == "layer applied" and not n.struck_by
        )
        other.strike(noted, reason="slip", **LOG)

    with open_store(path) as store:
        far = layer_far_back(store)
        monkeypatch.setattr(sqlite_store, "FAR_BACK", 100)
        left = logging_meanwhile(path, monkeypatch, times, strike_another)
        strike = store.strike(far, reason="slip", **LOG)
        # Overtaken too often, it is worked out with the lock held.
        assert left == [max(0, times - 3)]
        assert strike.event.struck == far
        assert_is_the_fold(store)
    assert verify(path) == []


def test_a_strike_of_what_another_struck_meanwhile_is_refused(path, monkeypatch):
    with open_store(path) as store:
        far = layer_far_back(store)
        monkeypatch.setattr(sqlite_store, "FAR_BACK", 10)

        def strike_the_same(other):
            with monkeypatch.context() as patch:
                patch.setattr(sqlite_store, "FAR_BACK", 10**6)
                other.strike(far, reason="slip", **LOG)

        logging_meanwhile(path, monkeypatch, 1, strike_the_same)
        with pytest.raises(CannotStrike, match="struck already"):
            store.strike(far, reason="slip", **LOG)
        with pytest.raises(NoSuchEntry):
            store.strike(10**6, reason="slip", **LOG)
        assert_is_the_fold(store)
    assert verify(path) == []


def full(*_):
    raise sqlite3.OperationalError("database or disk is full")


def strike_where_the_copy_fails(path, monkeypatch):
    """Strike, and see that it is logged whole, after one copy only."""
    made = []
    real = sqlite_store.beside
    monkeypatch.setattr(sqlite_store, "beside", lambda *given: made.append(1) or real(*given))
    with open_store(path) as store:
        seq = layer_far_back(store)
        strike = store.strike(seq, reason="slip", **LOG)
        assert made == [1]
        assert store.last_seq() == strike.seq
        assert [n.seq for n in store.latest(500) if n.event.kind == "entry struck"] == [strike.seq]
        assert_is_the_fold(store)
    assert verify(path) == []


def test_a_strike_finds_no_room_for_a_copy_and_is_logged_all_the_same(path, monkeypatch):
    monkeypatch.setattr(strike_beside, "fold_again", full)
    strike_where_the_copy_fails(path, monkeypatch)


def test_a_strike_finds_no_room_to_catch_up_with_the_lock_held(path, monkeypatch):
    left = logging_meanwhile(path, monkeypatch, 1, lambda other: other.append(more(12), **LOG))
    monkeypatch.setattr(strike_beside, "take_in", full)
    strike_where_the_copy_fails(path, monkeypatch)
    assert left == [0]


def test_a_strike_whose_copy_cannot_be_read_at_the_last_is_not_logged_half(path, monkeypatch):
    copies = []
    carry = strike_beside.Beside.carry_over

    def lose_half_way(copy, connection):
        copies.append(copy)
        real = copy._carry

        def carry_one(to, table, *rest):
            real(to, table, *rest)
            copy._copy.close()

        copy._carry = carry_one
        carry(copy, connection)

    monkeypatch.setattr(strike_beside.Beside, "carry_over", lose_half_way)
    strike_where_the_copy_fails(path, monkeypatch)
    assert len(copies) == 1


def test_a_strike_leaves_no_copy_behind(path):
    before = sorted(path.parent.iterdir())
    with open_store(path) as store:
        store.strike(layer_far_back(store), reason="slip", **LOG)
        held = {file.name for file in path.parent.iterdir()}
    assert held == {path.name, f"{path.name}-wal", f"{path.name}-shm"}
    assert sorted(path.parent.iterdir()) == before
