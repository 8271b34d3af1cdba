"""Times learned from the log: one casting's share of a session, decisions, and how far off."""

from __future__ import annotations

import datetime as dt

import pytest

from floorboard.floor.history_rows import WorkRow
from floorboard.records.task_times import samples_of, tasks_of
from floorboard.records.times_report import time_lines, times_report
from tests.tiny_shop import START, tiny_shop

SHOP = tiny_shop()


def work(kind, minutes, number=0, *, day=0, at=0.0, person="ana", shared_by=1, casting="c1"):
    ended = START + dt.timedelta(days=day, minutes=at + minutes)
    begun = ended - dt.timedelta(minutes=minutes)
    step = "seal" if kind == "step" else None
    return WorkRow(
        kind, casting, number, step, "bowl", "m1", person, begun, ended, shared_by, "coat"
    )


def line_of(works, task, decisions=None):
    return next(line for line in time_lines(works, SHOP, decisions or {}) if line.task == task)


def test_every_hands_on_task_of_the_shop_has_a_name_for_decisions():
    assert [task.key for task in tasks_of(SHOP)] == [
        "ready bowl",
        "layer bowl 1",
        "layer bowl 2",
        "demold bowl",
        "step bowl 1",
        "step bowl 3",
        "step bowl 4",
        "batch coat",
    ]


def test_a_session_counts_once_and_as_what_one_casting_alone_would_take():
    pieces = SHOP.model_dump(mode="json")["pieces"]
    pieces["bowl"]["route"][2]["each_more"] = "1 min"
    shop = tiny_shop(pieces=pieces)
    # Sealing takes 3 min and 1 min for each further casting: 3 of 5 min for three.
    session = [work("step", 10, 2, shared_by=3, casting=f"c{n}") for n in range(3)]
    assert [sample.minutes for sample in samples_of(session, shop)] == pytest.approx([6.0])


def test_too_few_times_leave_the_shops_own_and_enough_give_the_planned_quantile():
    few = line_of([work("demold", 6, at=n * 10) for n in range(7)], "demold bowl")
    assert (few.uses, few.planned_minutes, few.learned_minutes) == ("stated", 4.0, None)
    works = [work("demold", 5 + n % 3, at=n * 20) for n in range(12)]
    enough = line_of(works, "demold bowl")
    assert (enough.uses, enough.samples) == ("learned", 12)
    assert 6 <= enough.planned_minutes <= 7


def test_a_forgotten_press_does_not_make_the_plan_slower():
    works = [work("demold", 5, at=n * 20) for n in range(12)] + [work("demold", 300, day=1)]
    line = line_of(works, "demold bowl")
    assert (line.set_aside, line.planned_minutes) == (1, 5.0)


def test_the_planner_can_be_told_no_and_yes_again():
    works = [work("demold", 6, at=n * 10) for n in range(12)]
    refused = line_of(works, "demold bowl", {"demold bowl": "stated"})
    assert (refused.uses, refused.planned_minutes, refused.learned_minutes) == ("stated", 4.0, 6.0)
    assert refused.reason.startswith("The shop's own 4 min, as decided;")
    assert line_of(works, "demold bowl", {"demold bowl": "learned"}).planned_minutes == 6.0


def test_people_are_told_apart_only_with_enough_times_each():
    works = [work("demold", 5, at=n * 10) for n in range(9)]
    works += [work("demold", 7, at=n * 10, person="ben") for n in range(3)]
    assert [one.person for one in line_of(works, "demold bowl").people] == ["ana"]


def test_predictions_get_better_once_the_log_has_enough_times():
    # The shop says 4 min; it takes 6: half as long again, until the plan has learned it.
    works = [work("demold", 6, day=day, at=n * 10) for day in range(14) for n in range(4)]
    last = START.date() + dt.timedelta(days=13)
    report = times_report(works, SHOP, {}, (START.date(), last), dt.UTC)
    assert [round(day.off, 3) for day in report.days[:3]] == [0.5, 0.5, 0.0]
    assert all(day.stated_off == pytest.approx(0.5) for day in report.days)
    assert report.verdict == "better"
