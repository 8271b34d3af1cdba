"""The handover note: what stands where, what comes first and by when, what ran short."""

from __future__ import annotations

import pytest

from floorboard.floor import events as e
from floorboard.mixing.stock_outlook import StockLine
from floorboard.planning.plan import LostWindow, PlannedTask, empty_plan
from floorboard.reports.handover_page import handover_page
from floorboard.store.history import History
from floorboard.store.sqlite_store import open_store
from floorboard.usecases.handover import handover_note
from floorboard.usecases.handover_text import handover_lines
from floorboard.usecases.tally import take_tally
from floorboard.usecases.tally_stretch import of_shift
from tests.store.small_shop import SHOP, START, Bench, minutes

NOW = minutes(60)


@pytest.fixture
def bench(tmp_path):
    with open_store(tmp_path / "floor.db") as store:
        store.load_shop(SHOP, source="", at=START, person=None, station="")
        yield Bench(store)


def note_of(bench, plan=None, stock=()):
    floor = bench.store.floor()
    stretch, title = of_shift(SHOP, NOW)
    with History(bench.store.path) as history:
        tally = take_tally(history, SHOP, stretch, title)
    entries = bench.store.between(stretch.start, stretch.end)
    plan = plan or empty_plan(NOW, NOW, floor.last_seq)
    return handover_note(SHOP, floor, plan, tally, stock, entries, NOW)


def layered(bench, casting, mold):
    """Begin a bowl and put its first layer in: the next closes 40 min later."""
    bench.begin(casting, mold)
    bench.log(e.MoldReadied(casting=casting))
    bench.log(e.LayerApplied(casting=casting, layer=0))


def test_deadlines_come_first_then_what_opens_first(bench):
    bench.begin("t1", "tile-1")
    bench.log(e.MoldReadied(casting="t1"))
    bench.minute = 28
    layered(bench, "b1", "bowl-1")
    layered(bench, "b2", "bowl-2")
    note = note_of(bench)
    assert [(task.casting, task.by) for task in note.first] == [
        ("b1", minutes(31 + 40)),
        ("b2", minutes(34 + 40)),
        ("t1", None),
    ]
    assert note.first[0].what == "layer 2 of 2"


def test_a_window_already_lost_is_told_as_lost_and_not_as_to_do(bench):
    layered(bench, "b1", "bowl-1")
    lost = LostWindow(
        casting="b1", layer=1, closes_at=minutes(43), by_seconds=1020, reason="No one came.",
        would_have_saved="",
    )  # fmt: skip
    plan = empty_plan(NOW, NOW, bench.store.last_seq()).model_copy(update={"lost": (lost,)})
    note = note_of(bench, plan)
    assert note.first == ()
    assert note.lost == ("b1: the window of layer 2 is lost. No one came.",)


def test_the_plan_says_who_does_it_when(bench):
    layered(bench, "b1", "bowl-1")
    task = PlannedTask(
        kind="layer", person="bo", start=minutes(61), end=minutes(68), castings=("b1",),
        index=1,
    )  # fmt: skip
    plan = empty_plan(NOW, NOW, bench.store.last_seq()).model_copy(update={"tasks": (task,)})
    first = note_of(bench, plan).first[0]
    assert (first.person, first.planned_at) == ("Bo", minutes(61))


def test_every_mold_is_there_with_what_it_holds(bench):
    layered(bench, "b1", "bowl-2")
    molds = note_of(bench).molds
    # The second layer was to go in by minute 43; it is minute 60.
    assert [(mold.number, mold.casting, mold.state) for mold in molds] == [
        (1, None, "empty"),
        (2, "b1", "window lost"),
        (3, None, "empty"),
    ]


def test_what_ran_short_what_was_lost_and_what_people_wrote_down_is_told(bench):
    layered(bench, "b1", "bowl-1")
    bench.batch("B9", ("b1", 1))
    bench.log(e.BatchLost(batch="B9", reason="set in the bucket"))
    bench.log(e.Noted(note="The rim sticks.", mold="bowl-1"))
    struck = bench.log(e.Noted(note="Not this."))
    bench.strike(struck[0].seq)
    bench.log(e.PersonLeft(who="bo"))
    line = StockLine(
        material="wax", name="Wax", on_hand_grams=0, expired_grams=0, committed_grams=12,
        free_grams=-12, grams_a_day=0, days_left=None, reorder_at_grams=None, order_now=True,
        next_lot=None, next_expiry=None, remarks=("Wax is 12 g short.",),
    )  # fmt: skip
    note = note_of(bench, stock=[line])
    assert note.short == ("Wax is 12 g short.",)
    assert note.lost == ("Batch B9 was lost. set in the bucket",)
    assert note.notes == ("Ana: mold 1, The rim sticks.",)
    assert note.away == ("Bo",)


def test_text_and_page_say_the_same_and_the_page_escapes(bench):
    bench.cast_bowl("b1")
    bench.log(e.Noted(note="<b>bold</b>"))
    note = note_of(bench)
    lines = list(handover_lines(note))
    assert max(len(line) for line in lines) <= 80
    assert "  Ana: <b>bold</b>" in lines
    page = handover_page(note)
    assert "Ana: &lt;b&gt;bold&lt;/b&gt;" in page
    assert "src=" not in page
