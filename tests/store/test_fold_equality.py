"""The floor read from the tables is the fold of the whole log, whatever was logged and struck."""

from __future__ import annotations

import contextlib
import random
import shutil
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings

from benchmarks.synthetic_log import synthetic_entries
from floorboard.floor import events as e
from floorboard.floor.floor import Floor
from floorboard.floor.fold import fold
from floorboard.store import event_log, replay, strike
from floorboard.store.errors import CannotStrike
from floorboard.store.sqlite_store import SqliteStore, open_store
from floorboard.store.state_codec import batch_to_json, casting_to_json
from floorboard.store.verify import verify
from tests.store.random_days import STEPS, take_through
from tests.store.small_shop import BUILDS, SHOP

SETTINGS = settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


@pytest.fixture(autouse=True)
def closed_castings_leave_the_floor_often(monkeypatch):
    """As in a log of years; a day's is too short for it otherwise."""
    monkeypatch.setattr(strike, "_TIDY_EVERY", 4)
    monkeypatch.setattr(replay, "_TIDY_EVERY", 3)


@pytest.fixture(scope="module")
def empty(tmp_path_factory) -> Path:
    path = tmp_path_factory.mktemp("store") / "empty.db"
    open_store(path).close()
    return path


def as_text(floor: Floor) -> str:
    return repr(
        (
            [casting_to_json(casting) for casting in floor.castings.values()],
            [batch_to_json(batch) for batch in floor.batches.values()],
            (floor.molds, floor.away, floor.conditions, floor.flags, floor.last_seq, floor.last_at),
        )
    )


def assert_is_the_fold(store: SqliteStore) -> None:
    floor = store.floor()
    entries = list(event_log.every(store._connection))
    whole = fold(entries, store._builds)
    still_open = {casting.serial: casting for casting in whole.open_castings()}
    assert {casting.serial: casting for casting in floor.open_castings()} == still_open
    assert list(still_open) == [casting.serial for casting in floor.open_castings()]
    assert list(floor.open_batches()) == list(whole.open_batches())
    for serial, batch in floor.batches.items():
        assert batch == whole.batches[serial]
    assert list(floor.all_in_hand()) == list(whole.all_in_hand())
    assert floor.molds == whole.molds
    assert floor.away == whole.away
    assert (floor.conditions, floor.conditions_at) == (whole.conditions, whole.conditions_at)
    assert floor.flags == whole.flags
    assert (floor.last_seq, floor.last_at) == (whole.last_seq, whole.last_at)


@SETTINGS
@given(day=STEPS)
def test_floor_and_tables_are_the_fold_after_every_step_here_and_where_opened_anew(
    day, empty, tmp_path
):
    path = tmp_path / "day.db"
    for suffix in ("", "-wal", "-shm"):
        path.with_name(path.name + suffix).unlink(missing_ok=True)
    shutil.copy(empty, path)
    with open_store(path) as store:
        held = store.floor()
        seen = as_text(held)

        def check() -> None:
            nonlocal held, seen
            assert as_text(held) == seen, "a floor handed out was changed afterwards"
            assert_is_the_fold(store)
            held = store.floor()
            seen = as_text(held)
            with open_store(path, read_only=True) as reader:
                assert_is_the_fold(reader)

        take_through(store, day, check)
    assert verify(path) == []


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_ordinary_days_with_strikes_far_back_end_as_the_fold_of_their_log(seed, empty, tmp_path):
    path = tmp_path / "days.db"
    shutil.copy(empty, path)
    rng = random.Random(seed)
    with open_store(path) as store:
        for build in BUILDS.values():
            store.keep_build(build)
        for entry in synthetic_entries(SHOP, 400, seed):
            if isinstance(entry.event, e.EntryStruck):
                continue
            log = {"logged_at": entry.logged_at, "person": entry.person, "station": "east"}
            store.append([(entry.at, entry.event)], **log)
            if rng.random() < 0.05:
                target = rng.randint(max(1, store.last_seq() - 120), store.last_seq())
                with contextlib.suppress(CannotStrike):
                    store.strike(target, reason="", **log)
        assert_is_the_fold(store)
    assert verify(path) == []
