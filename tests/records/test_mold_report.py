"""The report on molds: pulls, care, wear, and when a new one must be ordered."""

from __future__ import annotations

import datetime as dt

from floorboard.floor import history_rows as h
from floorboard.records.mold_report import MoldPast, mold_report
from tests.tiny_shop import START, after, tiny_shop

TODAY = START.date()
MOLDS = {
    "m1": {"number": 1, "piece": "bowl", "pulls": 38, "care_every": 10, "retire_at": 100},
    "m2": {"number": 2, "piece": "bowl", "pulls": 7},
}


def report(*, pulls=None, recent=None, molds=MOLDS, lead_days=14, **more):
    past = MoldPast(
        shop=tiny_shop(molds=molds),
        pieces_of_molds={},
        pulls=pulls or {},
        recent=recent or {},
        recent_days=28,
        **more,
    )
    return mold_report(past, START, lead_days)


def event(seq, mold, kind, note="", cause=None):
    return h.MoldEventRow(seq, after(seq), mold, kind, note, cause)


def test_pulls_are_those_before_the_log_and_those_logged():
    line = report(pulls={"m1": (5, 0)}).molds[0]
    assert (line.pulls, line.pulls_left) == (43, 57)


def test_care_is_due_by_the_pulls_since_the_last_care():
    # 38 before the log, cared for on schedule at 30: 8, and 2 logged.
    assert report(pulls={"m1": (1, 0)}).molds[0].care_due is False
    assert report(pulls={"m1": (2, 0)}).sentences == (
        "Mold 1 is due for care: 10 pulls since the last.",
    )
    cared = [event(1, "m1", "mold cared for", "new skin")]
    line = report(pulls={"m1": (9, 6)}, events=cared).molds[0]
    assert (line.pulls_since_care, line.care_due, line.notes[0].note) == (3, False, "new skin")


def test_a_mold_taken_out_and_not_put_back_is_out_of_service():
    events = [event(1, "m1", "mold taken out", "rim torn")]
    assert report(events=events).molds[0].in_service is False
    events.append(event(2, "m1", "mold put back"))
    assert report(events=events).molds[0].in_service is True


def test_a_new_mold_is_to_be_ordered_the_lead_time_before_the_pulls_are_used_up():
    # 62 pulls left at 2 a day: 31 days; 14 days to get a new one.
    line = report(recent={"m1": 56}).molds[0]
    assert (line.pulls_left, line.used_up_on) == (62, TODAY + dt.timedelta(days=31))
    assert line.order_by == TODAY + dt.timedelta(days=17)
    late = report(recent={"m1": 28 * 8})
    assert late.sentences == ("Order a new mold of Bowl now: Mold 1 has 62 pulls left.",)
    spent = report(pulls={"m1": (62, 60)}, events=[event(1, "m1", "mold cared for")])
    assert spent.sentences == ("Order a new mold of Bowl now: Mold 1 has no pulls left.",)


LIVES = {"a": 60, "b": 64, "c": 66, "d": 70, "e": 73, "f": 80}


def report_with_others_out(cause=None, **more):
    molds = {
        key: {"number": n, "piece": "bowl", "pulls": pulls, **more}
        for n, (key, pulls) in enumerate(LIVES.items(), start=2)
    }
    molds["m1"] = {"number": 1, "piece": "bowl", "pulls": 40}
    out = [event(n, key, "mold taken out", "", cause) for n, key in enumerate(LIVES, start=1)]
    return report(molds=molds, events=out)


def test_molds_that_wore_out_tell_of_those_still_in_use():
    line = report_with_others_out("worn out").molds[0]
    assert line.method == "weibull"
    assert 50 < line.advised_pulls < 70
    assert line.pulls_left == line.advised_pulls - 40


def test_molds_taken_out_for_another_reason_lasted_at_least_so_long():
    assert report_with_others_out("other").molds[0].method == "unknown"


def test_molds_taken_out_for_no_cause_told_wore_out_only_if_they_reached_their_limit():
    assert report_with_others_out().molds[0].method == "unknown"
    assert report_with_others_out(retire_at=90).molds[0].method == "unknown"
    assert report_with_others_out(retire_at=60).molds[0].method == "weibull"


def test_open_orders_that_ask_for_more_pulls_than_are_left_name_the_day():
    due = [(TODAY, "bowl", 50), (TODAY + dt.timedelta(days=4), "bowl", 20)]
    one = {"m1": MOLDS["m1"]}
    short = (
        "The mold of Bowl has 62 pulls left and open orders miss 70: a new one is needed "
        "before 6 March 2026."
    )
    now = "Order a new mold of Bowl now: Mold 1 has 62 pulls left."
    assert report(molds=one, missing=due).sentences == (now, short)
    # 8 castings in progress fill the last of them.
    assert report(molds=one, missing=due, under_way={"bowl": 8}).sentences == ()
    unknown = report(missing=due).demand[0]
    assert (unknown.pulls_left, unknown.short_before) == (None, None)


def test_orders_still_to_pour_use_a_mold_up_sooner_than_the_recent_rate_does():
    due = TODAY + dt.timedelta(days=20)
    molds = {"m1": MOLDS["m1"], "m2": {"number": 2, "piece": "bowl"}}
    # 62 pulls left; the two molds share what is missing: 62 each are left for, 63 are not.
    kept = report(molds=molds, missing=[(due, "bowl", 124)], recent={"m1": 28}).molds[0]
    assert kept.used_up_on == TODAY + dt.timedelta(days=62)
    line = report(molds=molds, missing=[(due, "bowl", 125)], recent={"m1": 28}).molds[0]
    assert (line.used_up_on, line.order_by) == (due, TODAY + dt.timedelta(days=6))
    # An order overdue is poured from today on.
    late = report(molds=molds, missing=[(TODAY - dt.timedelta(days=9), "bowl", 125)]).molds[0]
    assert late.used_up_on == TODAY
