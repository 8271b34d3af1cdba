"""The day's counts for the top line."""

from __future__ import annotations

from floorboard.floor import events as e
from floorboard.usecases.day_counts import DayCounts, day_counts
from floorboard.usecases.presses import press_for_casting
from tests.board_run import session_on
from tests.tiny_shop import START


def counted(session) -> DayCounts:
    return day_counts(session.store, session.shop, session.floor, session.now)


def to_the_end(session, clock, mold: str) -> str:
    """Take a casting through its layers and its whole route; return its serial number."""
    session.confirm(session.press_for_mold(mold, "ana"))
    serial = session.floor.casting_in(mold).serial
    while (casting := session.floor.castings.get(serial)) and not casting.closed:
        clock.forward(60)
        session.confirm(press_for_casting(session.floor, casting, "ana"))
    return serial


def test_a_finished_casting_is_good_once_its_last_step_is_done(tmp_path):
    with session_on(tmp_path / "f.db") as (session, clock):
        to_the_end(session, clock, "m1")
        session.confirm(session.press_for_mold("m2", "ben"))
        assert counted(session) == DayCounts(begun=2, demolded=1, good=1, rejected=0)


def test_a_rejected_casting_is_not_good_and_a_struck_entry_does_not_count(tmp_path):
    with session_on(tmp_path / "f.db") as (session, clock):
        serial = to_the_end(session, clock, "m1")
        session.log("ana", e.CastingRejected(casting=serial, reason="void"))
        assert counted(session) == DayCounts(begun=1, demolded=1, good=0, rejected=1)
        session.strike_last("ana")
        assert counted(session) == DayCounts(begun=1, demolded=1, good=1, rejected=0)


def test_the_next_day_begins_at_nothing(tmp_path):
    with session_on(tmp_path / "f.db") as (session, clock):
        to_the_end(session, clock, "m1")
        assert session.now.date() == START.date()
        clock.forward(24 * 3600)
        assert counted(session) == DayCounts()


def test_the_counts_are_said_in_phrases():
    phrases = DayCounts(begun=6, demolded=3, good=2, rejected=1).phrases()
    assert ", ".join(phrases) == "today 2 good, 1 rejected, 6 begun, 3 demolded"
