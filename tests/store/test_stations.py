"""Several stations on one database: nothing lost, nothing doubled, conflicts explained."""

from __future__ import annotations

import datetime as dt
import multiprocessing
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from floorboard.floor import events as e
from floorboard.floor.fold import fold
from floorboard.shop.errors import StaleFloor
from floorboard.store import event_log
from floorboard.store.sqlite_store import open_store
from floorboard.store.verify import verify
from tests.store.small_shop import BUILDS, SHOP, START, Bench, minutes

FORKING = multiprocessing.get_context("fork")


@pytest.fixture
def database(tmp_path: Path) -> Path:
    path = tmp_path / "floor.db"
    with open_store(path) as store:
        store.load_shop(SHOP, source="x", at=START, person=None, station="")
        for build in BUILDS.values():
            store.keep_build(build)
    return path


def run(target, count: int, *args: object) -> list[list[str]]:
    """Run a function in so many processes that start together; return what each said."""
    start, said = FORKING.Barrier(count), FORKING.Queue()
    processes = [
        FORKING.Process(target=target, args=(number, start, said, *args)) for number in range(count)
    ]
    for process in processes:
        process.start()
    answers = [said.get(timeout=120) for _ in processes]
    for process in processes:
        process.join()
        assert process.exitcode == 0
    return answers


def log_a_shift(number: int, start, said, path: str) -> None:
    """Take castings through the mold at one station, as fast as they can be logged."""
    acknowledged = []
    with open_store(path) as store:
        bench = Bench(store, person=("ana", "bo")[number % 2], station=f"station-{number}")
        start.wait()
        for _ in range(5):
            casting = store.new_serial(START.date())
            begun = bench.begin(casting, sorted(SHOP.molds)[number % 3])
            entries = [begun, *bench.log(e.MoldReadied(casting=casting))]
            batch = store.new_batch_serial(START.date())
            entries.append(bench.batch(batch, (casting, 0)))
            entries += bench.log(e.LayerBegun(casting=casting, layer=0, batch=batch))
            entries += bench.log(e.LayerApplied(casting=casting, layer=0, batch=batch))
            (note,) = bench.log(e.Noted(note="x", casting=casting))
            entries += [note, bench.strike(note.seq)]
            entries += bench.log(e.CastingRejected(casting=casting, reason="void"))
            acknowledged += [entry.id for entry in entries]
    said.put(acknowledged)


def test_six_stations_logging_at_once_lose_and_double_nothing(database):
    acknowledged = [entry for one in run(log_a_shift, 6, str(database)) for entry in one]
    assert len(acknowledged) == len(set(acknowledged)) == 6 * 5 * 8
    with open_store(database) as store:
        entries = list(event_log.every(store._connection))
        assert [entry.seq for entry in entries] == list(range(1, len(entries) + 1))
        assert {entry.id for entry in entries[1:]} == set(acknowledged)
        begun = [x.event.casting for x in entries if isinstance(x.event, e.CastingBegun)]
        assert sorted(begun) == [f"260312-{number:02d}" for number in range(1, 31)]
        whole = fold(entries, store._builds)
        assert list(whole.open_castings()) == []
        assert store.floor().molds == whole.molds
    assert verify(database) == []


def confirm_the_same(number: int, start, said, path: str, castings: tuple[str, ...]) -> None:
    """Confirm the readying of each casting the moment the other tablet does."""
    answers = []
    with open_store(path) as store:
        bench = Bench(store, person=("ana", "bo")[number], station=f"tablet-{number}")
        for casting in castings:
            start.wait()
            seen = store.floor()
            start.wait()
            try:
                bench.log(e.MoldReadied(casting=casting), expected_seq=seen.last_seq)
                answers.append("logged")
            except StaleFloor as error:
                answers.append(str(error))
    said.put(answers)


def test_a_casting_confirmed_on_two_tablets_at_once_is_one_entry_and_an_explanation(database):
    castings = tuple(f"c-{number}" for number in range(10))
    with open_store(database) as store:
        bench = Bench(store)
        for casting in castings:
            bench.begin(casting)
    first, second = run(confirm_the_same, 2, str(database), castings)
    for casting, *said in zip(castings, first, second, strict=True):
        assert said.count("logged") == 1
        (explained,) = [answer for answer in said if answer != "logged"]
        assert explained.startswith("Meanwhile 'mold readied' was logged by")
        assert f"about casting {casting}" in explained
    with open_store(database) as store:
        kinds = [entry.event.kind for entry in event_log.every(store._connection)]
    assert kinds.count("mold readied") == len(castings)


def press_again(number: int, start, said, path: str) -> None:
    """Send the same press under the same id, as a tablet does that heard no answer."""
    with open_store(path) as store:
        start.wait()
        (entry,) = store.append(
            [(START, e.Noted(note="once"))],
            logged_at=START,
            person="ana",
            station="tablet",
            ids=["press-1"],
        )
    said.put([str(entry.seq)])


def test_one_press_sent_by_several_processes_is_one_entry(database):
    answers = run(press_again, 4, str(database))
    assert len({seq for (seq,) in answers}) == 1
    with open_store(database) as store:
        notes = [x for x in event_log.every(store._connection) if isinstance(x.event, e.Noted)]
    assert len(notes) == 1


def test_a_long_read_goes_on_while_others_log(database):
    with open_store(database) as store, open_store(database) as other:
        bench = Bench(other)
        for number in range(5):
            bench.begin(f"c-{number}")
        reading = iter(store.between(START, START + dt.timedelta(days=1)))
        taken = [next(reading)]
        bench.begin("c-9")
        taken += list(reading)
        assert len(taken) == 6
        assert store.last_seq() == 7
        assert len(list(store.between(START, minutes(60)))) == 7


def test_threads_of_one_process_may_share_a_store(database):
    with open_store(database) as store, ThreadPoolExecutor(4) as threads:

        def log_notes(number: int) -> list[int]:
            bench = Bench(store, station=f"thread-{number}")
            seqs = []
            for _ in range(20):
                seqs += [entry.seq for entry in bench.log(e.Noted(note="x"))]
                assert store.last_seq() >= seqs[-1]
                assert store.floor().last_seq >= seqs[-1]
            return seqs

        seqs = sorted(seq for some in threads.map(log_notes, range(4)) for seq in some)
        assert seqs == list(range(2, 82))
        assert store.last_seq() == store.floor().last_seq == 81
