"""The quick planner and its improvement keep every rule, and keep what people follow."""

import random
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from floorboard.planning.alike import sorted_out
from floorboard.planning.board import board_of
from floorboard.planning.check_network import check_placements, check_solution
from floorboard.planning.draft import Draft
from floorboard.planning.insertion import facts_of, saved_first, urgency
from floorboard.planning.layout import Layout
from floorboard.planning.neighbourhoods import with_riders
from floorboard.planning.network import (
    Anchor,
    Group,
    Hold,
    Lag,
    Moment,
    Person,
    Problem,
    Station,
    Task,
)
from floorboard.planning.network import Family as Mix
from floorboard.planning.replay import board_of_plan, follow
from floorboard.planning.ruin import improve_board, take_out
from floorboard.planning.search import first_plan
from floorboard.planning.solution import Status
from floorboard.planning.taste import Taste
from floorboard.planning.tiers import objective_of
from tests.planning.networks import CASTING_PLAN, casting, networks, shared_mixes


@settings(max_examples=150, deadline=None)
@given(networks())
def test_a_first_plan_keeps_every_rule(problem: Problem) -> None:
    plan = first_plan(problem)
    assert plan.status is Status.FEASIBLE
    assert check_solution(problem, plan) == []


@settings(max_examples=100, deadline=None)
@given(networks(), st.integers(0, 99))
def test_ruin_and_recreate_keeps_every_rule_and_never_loses(problem: Problem, seed: int) -> None:
    layout = Layout(problem)
    facts = facts_of(layout)
    board = board_of(*saved_first(facts, urgency(facts), Taste()))
    tries = iter(range(25))
    better = improve_board(
        board, facts, random.Random(seed), lambda: next(tries, 25) / 25, lambda _: None
    )
    placements = better.table.placements()
    assert check_placements(problem, placements) == []
    assert better.objective == objective_of(problem, placements)
    assert better.objective <= board.objective


@settings(max_examples=60, deadline=None)
@given(networks(), st.integers(0, 99))
def test_taking_out_and_putting_back_leaves_the_timetable_as_it_was(
    problem: Problem, seed: int
) -> None:
    layout = Layout(problem)
    facts = facts_of(layout)
    board = board_of(*saved_first(facts, urgency(facts), Taste()))
    tries = iter(range(12))
    board = improve_board(board, facts, random.Random(seed), lambda: next(tries, 12) / 12)
    placements = board.table.placements()
    # A timetable built anew from the placements knows the same free time as the one worked on.
    again, left_out = follow(facts, urgency(facts), placements, Taste())
    if set(left_out) == set(board.left_out):
        assert again.placements() == placements
        for station in range(len(problem.stations)):
            for units in (1, 2):
                assert again.station_full(station, units) == board.table.station_full(
                    station, units
                )
        for index, task in enumerate(problem.tasks):
            assert again.leading(task) == board.table.leading(task)
            if task.family is not None:
                assert again.joining(index, task) == board.table.joining(index, task)


@settings(max_examples=400, deadline=None)
@given(shared_mixes())
def test_what_rode_on_a_batch_taken_out_has_one_of_its_own(problem: Problem) -> None:
    facts = facts_of(Layout(problem))
    board = board_of(*saved_first(facts, urgency(facts), Taste(patience=60)))
    for index in board.present():
        stuck = with_riders(board.table, {index}, stuck=True)
        assert {index} <= stuck <= with_riders(board.table, {index})
        table = board.table.copy()
        take_out(table, stuck)
        for task, entry in enumerate(board.table.placed):
            now = table.placed[task]
            if entry is None or table.layout.home[task] in stuck:
                assert now is None
            else:
                assert now is not None
                assert now[1:4] == entry[1:4]
        assert check_placements(problem, table.placements()) == []
        # It knows the same free time as a timetable that is built from it.
        again = board_of_plan(facts, table.placements()).table
        assert again.placements() == table.placements()
        for number, work in enumerate(problem.tasks):
            assert again.leading(work) == table.leading(work)
            if work.family is not None:
                assert again.joining(number, work) == table.joining(number, work)
                assert again.preceding(number, work) == table.preceding(number, work)


@settings(max_examples=60, deadline=None)
@given(networks())
def test_following_a_plan_that_still_fits_changes_nothing(problem: Problem) -> None:
    plan = first_plan(problem)
    again = first_plan(problem, plan.placements)
    assert check_solution(problem, again) == []
    for before, after in zip(plan.placements, again.placements, strict=True):
        assert before is None or before == after


@settings(max_examples=60, deadline=None)
@given(networks(), st.integers(0, 10))
def test_a_plan_is_followed_as_far_as_it_fits_when_time_has_moved_on(
    problem: Problem, later: int
) -> None:
    plan = first_plan(problem)
    moved_on = replace(problem, now=later)
    again = first_plan(moved_on, plan.placements)
    if again.found:
        assert check_solution(moved_on, again) == []


@settings(max_examples=80, deadline=None)
@given(networks())
def test_sorting_interchangeable_groups_costs_nothing(problem: Problem) -> None:
    plan = first_plan(problem)
    dealt = sorted_out(Layout(problem), plan.placements)
    assert check_placements(problem, dealt) == []
    assert objective_of(problem, dealt) <= plan.objective


def test_two_castings_share_their_batches() -> None:
    plan = first_plan(casting().problem())
    riders = [placed for placed in plan.placements if placed and placed.previous is not None]
    assert riders
    assert plan.objective <= objective_of(casting().problem(), CASTING_PLAN)


def test_a_casting_waits_for_its_mold() -> None:
    draft = Draft(horizon=40)
    draft.person(Person("Ada", ((0, 40),)))
    mold = draft.station(Station("mold", 1))
    for name in ("one", "two"):
        pour = draft.task(Task(f"{name} pour", 2, (0,)))
        off = draft.task(Task(f"{name} demold", 2, (0,)))
        draft.lag(Lag(pour, off, 10))
        draft.hold(Hold(mold, Moment(pour, Anchor.START), Moment(off, Anchor.END)))
        draft.group(Group(name, (pour, off), alike=1))
    plan = first_plan(draft.problem())
    # Pour 0-2, demold 12-14; the second may only begin at 14 and ends at 28.
    assert plan.objective == (0, 0, 0, 14 + 28, 0)


def test_what_is_in_hand_is_saved_before_anything_wanted() -> None:
    draft = Draft(horizon=30)
    draft.person(Person("Ada", ((0, 30),)))
    big = draft.task(Task("wanted", 20, (0,), deadline=21))
    draft.group(Group("wanted", (big,), worth=100, due=0, late_weight=50))
    coat = draft.task(Task("recoat", 5, (0,), deadline=8))
    draft.group(Group("in hand", (coat,), in_hand=True))
    plan = first_plan(draft.problem())
    assert plan.objective[0] == 0
    assert plan.placements[coat] is not None


def test_a_layer_that_is_already_mixed_follows_the_one_being_poured() -> None:
    draft = Draft(horizon=30, now=2)
    draft.person(Person("Ada", ((0, 30),)))
    draft.person(Person("Ben", ((0, 30),)))
    draft.family(Mix("gypsum", 10, 12))
    pouring = draft.task(Task("first", 4, (0, 1), 2, 0, 0, 3, fixed_start=0, fixed_person=1))
    second = draft.task(Task("second", 4, (0, 1), 2, 0, 0, 3, follows=pouring))
    draft.group(Group("one", (pouring,), in_hand=True))
    draft.group(Group("two", (second,), in_hand=True))
    plan = first_plan(draft.problem())
    placed = plan.placements[second]
    assert placed is not None
    assert (placed.start, placed.person, placed.previous) == (6, 1, pouring)


def test_a_mandatory_task_without_a_place_leaves_the_plan_unknown() -> None:
    draft = Draft(horizon=10)
    draft.person(Person("Ada", ((0, 4), (6, 10))))
    draft.task(Task("too long for any stretch", 5, (0,)))
    assert first_plan(draft.problem()).status is Status.UNKNOWN
