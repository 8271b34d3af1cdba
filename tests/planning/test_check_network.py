"""The checker accepts a plan that keeps every rule and names every rule that is broken."""

from dataclasses import replace

import pytest

from floorboard.planning.check_network import CHECKS, check_placements, check_solution
from floorboard.planning.network import Planned, Problem
from floorboard.planning.network_rules import RULES
from floorboard.planning.solution import Placements, Solution, Status
from floorboard.planning.tiers import objective_of
from tests.planning.networks import CASTING_PLAN, casting, placed

Broken = tuple[Problem, Placements]


def _with(index: int, placement: object, plan: Placements = CASTING_PLAN) -> Placements:
    return tuple(placement if i == index else p for i, p in enumerate(plan))  # type: ignore[misc]


def _changed(index: int, **changes: object) -> Problem:
    problem = casting().problem()
    tasks = list(problem.tasks)
    tasks[index] = replace(tasks[index], **changes)  # type: ignore[arg-type]
    groups = tuple(replace(group, alike=None) for group in problem.groups)
    return replace(problem, tasks=tuple(tasks), groups=groups)


def _family(**changes: int) -> Problem:
    problem = casting().problem()
    return replace(problem, families=(replace(problem.families[0], **changes),))


MUTATIONS: dict[str, tuple[Problem, Placements, int]] = {
    "presence": (casting().problem(), _with(3, None), 1),
    "length": (casting().problem(), _with(3, placed(31, 31, 37, None, None, 3)), 2),
    "facts": (_changed(2, fixed_start=28, fixed_person=1), CASTING_PLAN, 1),
    "time": (_changed(7, deadline=38), CASTING_PLAN, 2),
    "skill": (_changed(6, people=(1,)), CASTING_PLAN, 1),
    # Ada's break is 25-30: 29-31 lies one step outside.
    "stretch": (casting().problem(), _with(2, placed(29, 29, 31, 0, None, 2)), 1),
    # Ben demolds the second at 30, while he demolds the first until 31.
    "one_task": (
        casting().problem(),
        _with(6, placed(30, 30, 32, 1, None, 6)),
        1,
    ),
    "batch": (casting().problem(), _with(4, placed(10, 10, 15, 0, 0, 0)), 2),
    "batch_weight": (_family(max_weight=7), CASTING_PLAN, 1),
    # Wet at 1, used until 13: 12 steps.
    "batch_span": (_family(max_span=10), CASTING_PLAN, 2),
    "least_wait": (casting().problem(), _with(2, placed(27, 27, 29, 1, None, 2)), 2),
    "greatest_wait": (casting().problem(), _with(7, placed(45, 45, 49, None, None, 7)), 1),
    "station": (casting().problem(), _with(7, placed(33, 33, 37, None, None, 7)), 1),
    "objective": (casting().problem(), CASTING_PLAN, 1),
}


def test_a_plan_that_keeps_every_rule_has_no_findings() -> None:
    problem = casting().problem()
    assert check_placements(problem, CASTING_PLAN) == []
    # Two castings finished at 35 and 40, before the due step 45; nothing lost, late, left out.
    assert objective_of(problem, CASTING_PLAN) == (0, 0, 0, 75, 0)


def test_there_is_a_mutation_for_every_rule_and_a_check_for_every_rule() -> None:
    assert set(MUTATIONS) == set(RULES)
    assert set(CHECKS) | {"objective"} == set(RULES)


@pytest.mark.parametrize("rule", list(RULES))
def test_a_broken_rule_is_named_with_its_amount(rule: str) -> None:
    problem, plan, amount = MUTATIONS[rule]
    stated = (0, 0, 0, 74, 0) if rule == "objective" else (0, 0, 0, 75, 0)
    found = check_solution(problem, Solution(plan, stated, Status.FEASIBLE, "by hand"))
    assert amount in [breach.amount for breach in found if breach.rule == rule]
    assert all(breach.message.endswith(".") for breach in found)


@pytest.mark.parametrize(
    "plan",
    [
        _with(4, placed(8, 8, 13, 1, 0, 0)),  # another person than the batch's
        _with(4, placed(8, 8, 13, 0, 0, 4)),  # another leader than the batch's
        _with(4, placed(8, 8, 13, 0, 2, 2)),  # rides on a task without a family
        _with(5, placed(21, 21, 26, 1, 0, 0)),  # two tasks after one
        _with(2, placed(29, 29, 31, 1, None, 1)),  # led by another without riding on it
    ],
)
def test_every_way_to_misuse_a_batch_is_a_breach_of_batch(plan: Placements) -> None:
    assert "batch" in {breach.rule for breach in check_placements(casting().problem(), plan)}


def test_facts_are_no_breach_among_themselves() -> None:
    problem = casting().problem()
    # Both demolds are logged as done by Ada at once, across her break.
    tasks = list(problem.tasks)
    for index in (2, 6):
        tasks[index] = replace(tasks[index], fixed_start=29, fixed_person=0)
    problem = replace(problem, tasks=tuple(tasks), lags=())
    plan = _with(2, placed(29, 29, 31, 0, None, 2))
    plan = _with(6, placed(29, 29, 31, 0, None, 6), plan)
    assert check_placements(problem, plan) == []


def test_a_task_moved_from_the_plan_followed_counts_in_the_last_tier() -> None:
    draft = casting()
    draft.reference += [Planned(0, 2), Planned(1, 13, 0), Planned(2, 29, 1)]
    problem = draft.problem()
    # The first starts two steps off, the second is done by Ben instead of Ada, the third stays.
    assert objective_of(problem, CASTING_PLAN)[4] == 2
    assert objective_of(replace(problem, reference_slack=2), CASTING_PLAN)[4] == 1


def test_the_units_of_a_lost_group_stay_held_as_long_as_stated() -> None:
    draft = casting()
    draft.holds[0] = replace(draft.holds[0], start=0, lost_until=20, units=2)
    draft.groups[1] = replace(draft.groups[1], alike=None)
    plan = tuple(None if index < 4 else placement for index, placement in enumerate(CASTING_PLAN))
    plan = _with(4, placed(0, 3, 8, 0, None, 4), plan)
    plan = _with(5, placed(13, 16, 21, 1, None, 5), plan)
    found = check_placements(draft.problem(), plan)
    # Both molds are held until 20, and the second casting takes one at 0.
    assert [(breach.rule, breach.amount) for breach in found] == [("station", 1)]
