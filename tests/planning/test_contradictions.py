"""What can never be kept is named: which tasks and waits, and by how many steps."""

from floorboard.planning.contradictions import contradictions
from floorboard.planning.draft import Draft
from floorboard.planning.layout import Layout
from floorboard.planning.network import Anchor, Family, Group, Lag, Person, Station, Task
from floorboard.planning.search import solve
from floorboard.planning.solution import Limits, Status

LIMITS = Limits(seconds=20, deterministic=2)


def _two_tasks(**wanted: object) -> Draft:
    draft = Draft(horizon=50)
    draft.person(Person("Ada", ((0, 20), (25, 50))))
    draft.family(Family("gypsum", 5, 10))
    draft.station(Station("booth", 1))
    draft.task(Task("first", 4, (0,)))
    draft.task(Task("second", 4, (0,), **wanted))  # type: ignore[arg-type]
    return draft


def test_waits_that_add_up_in_a_circle_are_named_with_the_excess() -> None:
    draft = _two_tasks()
    third = draft.task(Task("third", 1))
    draft.lag(Lag(0, 1, 6, None, Anchor.END, Anchor.START))
    draft.lag(Lag(1, third, 5, None, Anchor.START, Anchor.START))
    # Starts: second >= first + 10, third >= second + 5, and third <= first + 12: 3 too many.
    draft.lag(Lag(0, third, None, 12, Anchor.START, Anchor.START))
    solution = solve(draft.problem(), LIMITS)
    assert solution.status is Status.INFEASIBLE
    (conflict,) = solution.conflicts
    assert (conflict.rule, conflict.amount) == ("greatest_wait", 3)
    assert set(conflict.tasks) == {0, 1, third}
    assert "third is ready at most 12 after first" in conflict.message


def test_a_deadline_that_the_waits_cannot_meet_is_named() -> None:
    draft = _two_tasks(deadline=12)
    draft.lag(Lag(0, 1, 7))
    (conflict,) = contradictions(Layout(draft.problem()))
    # First 0-4, seven steps, second 11-15.
    assert (conflict.rule, conflict.amount, conflict.tasks) == ("time", 3, (0, 1))


def test_what_a_task_asks_by_itself_is_held_against_what_there_is() -> None:
    draft = _two_tasks(setup=9, dry_setup=1, family=0, weight=7)
    draft.task(Task("long", 26, (0,)))
    draft.task(Task("wide", 2, demands=((0, 3),)))
    found = {(c.rule, c.tasks): c.amount for c in contradictions(Layout(draft.problem()))}
    # Weight 7 of 5; used 8 + 4 after wetting, of 10; 26 in stretches of 25; 3 booths of 1.
    assert found == {
        ("batch_weight", (1,)): 2,
        ("batch_span", (1,)): 2,
        ("stretch", (2,)): 1,
        ("station", (3,)): 2,
    }


def test_a_group_that_contradicts_itself_is_named_but_only_left_out() -> None:
    draft = _two_tasks()
    draft.lag(Lag(0, 1))
    draft.lag(Lag(0, 1, None, 3, Anchor.START, Anchor.END))
    draft.group(Group("casting", (0, 1)))
    (conflict,) = contradictions(Layout(draft.problem()))
    # Eight steps of work, one after the other, within three.
    assert (set(conflict.tasks), conflict.amount) == ({0, 1}, 5)
    solution = solve(draft.problem(), LIMITS)
    assert solution.status is Status.OPTIMAL
    assert solution.objective == (0, 0, 1, 0, 0)


def test_when_hands_stand_in_the_way_the_cheapest_overrun_is_named() -> None:
    draft = Draft(horizon=30)
    draft.person(Person("Ada", ((0, 30),)))
    for name, deadline in (("one", 4), ("two", 8)):
        pour = draft.task(Task(f"{name} pour", 4, (0,), deadline=deadline))
        coat = draft.task(Task(f"{name} coat", 4, (0,)))
        draft.lag(Lag(pour, coat, 2, 3, name="recoat"))
    solution = solve(draft.problem(), LIMITS)
    assert solution.status is Status.INFEASIBLE
    # Ada pours until 8; the first coat is due to begin by 7 and the second, after it, by 11.
    assert [(c.rule, c.amount) for c in solution.conflicts] == [("greatest_wait", 1)] * 2
    assert solution.conflicts[0].message == (
        "one coat may come at most 3 after one pour and is later by 1 steps."
    )
