"""The counts of real logs: across midnight, corrections, strikes and nonsense they reconcile."""

from __future__ import annotations

import datetime as dt
import shutil
from itertools import pairwise

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from floorboard.floor import events as e
from floorboard.records.tally_past import Stretch
from floorboard.store.history import History
from floorboard.store.sqlite_store import open_store
from floorboard.usecases.tally import take_tally
from floorboard.usecases.tally_stretch import of_days, of_order, of_shift
from floorboard.usecases.tally_text import tally_lines
from tests.store.random_days import STEPS, take_through
from tests.store.small_shop import SHOP, START, Bench, minutes

DAY = dt.date(2026, 3, 12)


@pytest.fixture
def bench(tmp_path):
    with open_store(tmp_path / "floor.db") as store:
        store.load_shop(SHOP, source="", at=START, person=None, station="")
        yield Bench(store)


def tally_of_days(bench, first=DAY, last=None, now=None):
    stretch, title = of_days(SHOP, first, last or first, now or minutes(10_000))
    with History(bench.store.path) as history:
        return take_tally(history, SHOP, stretch, title)


def tomorrow(bench):
    """Let the bench go on at eight the next morning."""
    bench.minute = (bench.minute // 1440 + 1) * 1440


def test_a_day_counts_what_was_begun_demolded_finished_and_scrapped(bench):
    bench.cast_bowl("c1")
    bench.begin("c2", "tile-1")
    bench.log(e.MoldReadied(casting="c2"))
    bench.log(e.CastingRejected(casting="c2", reason="void", layer=0))
    bench.begin("c3", "bowl-2")
    tally = tally_of_days(bench)
    counts = tally.counts
    assert (counts.begun, counts.demolded, counts.good, counts.finished) == (3, 1, 1, 1)
    assert (counts.scrapped, counts.sealed, counts.packed, counts.carried_over) == (1, 1, 0, 1)
    assert [(line.reason, line.rejected) for line in tally.reasons] == [("void", 1)]
    assert [(line.casting, line.stage) for line in tally.rejects] == [("c2", "layer 1")]
    assert [(line.casting, line.stage) for line in tally.carried_over] == [("c3", "ready the mold")]
    assert tally.reconciled


def test_a_casting_begun_before_midnight_is_carried_into_the_next_day(bench):
    bench.begin("c1", "tile-1")
    bench.log(e.MoldReadied(casting="c1"))
    bench.log(e.LayerApplied(casting="c1", layer=0))
    tomorrow(bench)
    bench.log(e.Demolded(casting="c1"))
    first, second = tally_of_days(bench), tally_of_days(bench, DAY + dt.timedelta(days=1))
    assert (first.counts.begun, first.counts.good, first.counts.carried_over) == (1, 0, 1)
    assert [line.stage for line in first.carried_over] == ["to demold"]
    assert (second.counts.carried_in, second.counts.begun, second.counts.good) == (1, 0, 1)


def test_a_past_day_stays_as_it_was_when_a_casting_is_brought_back_later(bench):
    bench.cast_bowl("c1")
    before = tally_of_days(bench, now=minutes(600))
    tomorrow(bench)
    bench.log(e.CastingSentBack(casting="c1", step=2, reason="colour"))
    assert tally_of_days(bench, now=minutes(600)) == before
    second = tally_of_days(bench, DAY + dt.timedelta(days=1))
    assert (second.counts.brought_back, second.counts.carried_over) == (1, 1)
    bench.log(e.StepDone(castings=("c1",), step=2))
    again = tally_of_days(bench, DAY + dt.timedelta(days=1))
    assert (again.counts.brought_back, again.counts.good, again.counts.sealed) == (0, 0, 1)
    assert again.reconciled


def test_a_casting_found_bad_after_it_was_finished_is_scrap_of_that_later_day(bench):
    bench.cast_bowl("c1")
    tomorrow(bench)
    bench.log(e.CastingRejected(casting="c1", reason="warp"))
    assert tally_of_days(bench).counts.good == 1
    counts = tally_of_days(bench, DAY + dt.timedelta(days=1)).counts
    assert (counts.brought_back, counts.scrapped) == (1, 1)
    both = tally_of_days(bench, DAY, DAY + dt.timedelta(days=1)).counts
    assert (both.good, both.scrapped) == (0, 1)


def test_struck_entries_count_for_nothing(bench):
    bench.cast_bowl("c1")
    rejected = bench.log(e.CastingRejected(casting="c1", reason="warp"))
    bench.strike(rejected[0].seq)
    counts = tally_of_days(bench).counts
    assert (counts.good, counts.scrapped) == (1, 0)


def test_a_demold_logged_twice_counts_once_and_the_report_says_so(bench):
    bench.cast_bowl("c1")
    bench.log(e.Demolded(casting="c1"))
    bench.log(e.Demolded(casting="nobody"))
    tally = tally_of_days(bench)
    demolds = next(check for check in tally.checks if check.name == "log: demolded")
    assert tally.counts.demolded == 1
    assert demolds.holds
    assert "3 entries 'demolded', 2 of them twice or of nothing known" in demolds.sentence
    assert any("demolded twice" in note for note in tally.notes)


def test_a_missing_casting_makes_the_report_say_what_does_not_reconcile(bench):
    bench.cast_bowl("c1")
    # Damage: a casting's row is lost while the log still has its entries.
    bench.store._connection.execute("DELETE FROM castings")
    tally = tally_of_days(bench)
    assert not tally.reconciled
    assert "DOES NOT RECONCILE" in list(tally_lines(tally))


def test_a_day_without_any_entry_is_all_zero_and_has_no_ratios(bench):
    tally = tally_of_days(bench, dt.date(2026, 3, 8))
    assert tally.counts.begun == tally.counts.carried_over == 0
    assert tally.key_figures.quality_ratio is None
    assert tally.reconciled


def test_working_days_without_any_work_logged_are_named_once_they_are_over(bench):
    bench.begin("c1", "tile-1")
    bench.log(e.MoldReadied(casting="c1"))
    # Thursday has work, Friday none, Saturday and Sunday no shift; Monday is not over.
    tally = tally_of_days(bench, DAY, DAY + dt.timedelta(days=4), now=minutes(4 * 1440 + 60))
    assert [note for note in tally.notes if note.startswith("No work")] == [
        "No work was logged on 2026-03-13; hands there count as the shifts have it. "
        "Log who is away, or mend the shifts."
    ]
    assert tally.reconciled
    for person in ("ana", "bo"):
        bench.log(e.PersonLeft(who=person))
    away = tally_of_days(bench, DAY, DAY + dt.timedelta(days=4), now=minutes(4 * 1440 + 60))
    assert not [note for note in away.notes if note.startswith("No work")]


def test_the_day_the_clocks_go_back_has_twenty_five_hours_and_counts_both_its_one_oclocks(bench):
    # Lisbon's clocks go back at 01:00 UTC on 25 October 2026 (EU Directive 2000/84/EC).
    sunday = dt.date(2026, 10, 25)
    midnight = dt.datetime(2026, 10, 24, 23, tzinfo=dt.UTC)
    first = (midnight - START) // dt.timedelta(minutes=1)
    for number, minute in enumerate((-5, 70, 130, 25 * 60 - 10, 25 * 60 + 5)):
        bench.minute = first + minute
        bench.begin(f"c{number}", "tile-1")
        bench.log(e.Demolded(casting=f"c{number}"))
    tally = tally_of_days(bench, sunday, now=minutes(first + 3000))
    assert tally.end - tally.start == dt.timedelta(hours=25)
    assert (tally.counts.begun, tally.counts.good) == (3, 3)
    assert [(line.day, line.begun) for line in tally.days] == [(sunday, 3)]
    assert tally.reconciled


def test_a_casting_sealed_before_it_was_dry_is_counted_as_done_and_the_report_says_so(bench):
    bench.begin("c1", "bowl-1")
    bench.log(e.Demolded(casting="c1"))
    bench.log(e.StepDone(castings=("c1",), step=0))
    bench.log(e.StepDone(castings=("c1",), step=2))
    tally = tally_of_days(bench)
    assert (tally.counts.sealed, tally.counts.good) == (1, 1)
    assert any("before" in note and "dry" in note for note in tally.notes)
    assert tally.reconciled


def test_hands_used_are_the_union_of_tasks_and_hands_there_are_shift_less_absence(bench):
    # Ana, 08:00 to 17:00 without breaks; from 08:01, a minute an entry.
    bench.begin("c1", "tile-1")
    bench.log(e.MoldReadied(casting="c1"))
    bench.minute = 59
    bench.log(e.PersonLeft(who="ana"))
    bench.minute = 119
    bench.log(e.PersonBack(who="ana"))
    ana = next(line for line in tally_of_days(bench).people if line.person == "ana")
    assert ana.used_minutes == pytest.approx(1)
    assert ana.there_minutes == pytest.approx(8 * 60)
    assert ana.worker_efficiency == pytest.approx(1 / 480)


def test_an_order_is_filled_by_its_own_castings_and_by_those_begun_for_none(bench):
    for number, order in enumerate(("monday", None, "monday", None), start=1):
        serial = f"t{number}"
        bench.begin(serial, "tile-1", order)
        bench.log(e.Demolded(casting=serial))
    monday = next(line for line in tally_of_days(bench).orders if line.order == "monday")
    assert (monday.good, monday.quantity, monday.state) == (4, 4, "on time")
    stretch, title = of_order(SHOP, "monday", minutes(600))
    with History(bench.store.path) as history:
        alone = take_tally(history, SHOP, stretch, title, "monday")
    assert (alone.counts.begun, alone.counts.good) == (2, 2)


def test_material_not_weighed_counts_as_on_the_ticket_and_theory_has_no_loss(bench):
    bench.begin("c1", "tile-1")
    bench.batch("B1", ("c1", 0), grams=600)
    bench.log(e.MaterialWeighed(batch="B1", material="powder", target_grams=400, grams=402))
    bench.log(e.LayerApplied(casting="c1", layer=0, batch="B1"))
    lines = {line.material: line for line in tally_of_days(bench).materials}
    # 2 parts powder to 1 of liquid: 500 g of layer, 600 g of ticket.
    assert lines["powder"].used_grams == pytest.approx(402)
    assert lines["liquid"].used_grams == pytest.approx(200)
    assert lines["powder"].theory_grams == pytest.approx(1000 / 3)
    assert lines["liquid"].over_theory_grams == pytest.approx(200 - 500 / 3)


def test_the_shift_at_hand_runs_from_the_first_start_to_the_last_end():
    stretch, title = of_shift(SHOP, minutes(30))
    assert (stretch.start, stretch.end) == (START, minutes(540))
    assert title == "shift of Thursday 12 March 2026, 08:00 to 17:00"


def test_no_line_is_wider_than_eighty_columns(bench):
    bench.cast_bowl("c1")
    long_name = SHOP.pieces["bowl"].model_copy(update={"name": "Ornamental 猫 " * 20})
    shop = SHOP.model_copy(update={"pieces": {**SHOP.pieces, "bowl": long_name}})
    stretch, title = of_days(shop, DAY, DAY, minutes(600))
    with History(bench.store.path) as history:
        lines = list(tally_lines(take_tally(history, shop, stretch, title)))
    assert max(len(line) for line in lines) <= 80


@pytest.fixture(scope="module")
def empty(tmp_path_factory):
    path = tmp_path_factory.mktemp("tally") / "empty.db"
    open_store(path).close()
    return path


@settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(day=STEPS, cuts=st.lists(st.integers(-60, 200), min_size=1, max_size=3, unique=True))
def test_whatever_was_logged_and_struck_every_stretch_reconciles_and_hands_on_to_the_next(
    day, cuts, empty, tmp_path
):
    path = tmp_path / "day.db"
    for suffix in ("", "-wal", "-shm"):
        path.with_name(path.name + suffix).unlink(missing_ok=True)
    shutil.copy(empty, path)
    with open_store(path) as store:
        take_through(store, day)
        still_open = {casting.serial for casting in store.floor().open_castings()}
    ends = [minutes(-600), *(minutes(cut) for cut in sorted(cuts)), minutes(600)]
    carried = 0
    for start, end in pairwise(ends):
        with History(path) as history:
            tally = take_tally(history, SHOP, Stretch(start, end, minutes(600)), "")
        assert tally.reconciled, [check.sentence for check in tally.checks if not check.holds]
        assert tally.counts.carried_in == carried
        assert sum(line.rejected for line in tally.reasons) == tally.counts.scrapped
        carried = tally.counts.carried_over
    assert {line.casting for line in tally.carried_over} == still_open


@pytest.mark.parametrize("struck", [False, True])
def test_hands_are_there_from_the_moment_the_first_shop_was_loaded(tmp_path, struck):
    """Made on Thursday at 13:00, looked at 13:01, and on Friday at noon of both days.

    Two people from 8:00 to 17:00 without breaks, by hand: 1 minute each, then 4 h and 4 h more.
    """
    with open_store(tmp_path / "floor.db") as store:
        bench = Bench(store)
        moments = [minutes(300), minutes(500)]
        loaded = [
            store.load_shop(SHOP, source="", at=at, person=None, station="")
            for at in ([START, *moments] if struck else moments)
        ]
        if struck:
            bench.strike(loaded[0].seq)
        first_minute = tally_of_days(bench, now=minutes(301))
        assert [line.there_minutes for line in first_minute.people] == [1, 1]
        both = tally_of_days(bench, last=DAY + dt.timedelta(days=1), now=minutes(24 * 60 + 240))
        assert [line.there_minutes for line in both.people] == [8 * 60, 8 * 60]
        before = tally_of_days(bench, first=DAY - dt.timedelta(days=1), now=minutes(301))
        assert before.people == ()
