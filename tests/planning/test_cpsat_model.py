"""The exact model admits every legal plan, finds nothing illegal, and its optimum is the optimum."""

import pytest
from hypothesis import given, settings

from floorboard.planning.alike import sorted_out
from floorboard.planning.check_network import check_placements
from floorboard.planning.cpsat.bound import quick_bound
from floorboard.planning.cpsat.engine import Budget, solve_scene
from floorboard.planning.cpsat.hints import add_hints, fix
from floorboard.planning.cpsat.model import SceneModel
from floorboard.planning.cpsat.rules import RULES_IN_MODEL
from floorboard.planning.cpsat.scene import Scene, scene_of
from floorboard.planning.insertion import facts_of
from floorboard.planning.layout import Layout
from floorboard.planning.network import Problem
from floorboard.planning.network_rules import RULES
from floorboard.planning.search import first_plan
from floorboard.planning.solution import Placements, Status
from floorboard.planning.tiers import objective_of
from tests.planning.brute_force import best_of_all
from tests.planning.networks import CASTING_PLAN, casting, networks

BUDGET = Budget(seconds=30, deterministic=0.4, seed=1, workers=1)


def _whole(problem: Problem) -> Scene:
    layout = Layout(problem)
    return scene_of(facts_of(layout), tuple(range(len(layout.clusters))))


def _admits(problem: Problem, placements: Placements) -> bool:
    from ortools.sat.python import cp_model

    model = SceneModel(_whole(problem))
    fix(model, placements)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    return solver.solve(model.model) in (cp_model.OPTIMAL, cp_model.FEASIBLE)


def test_every_rule_of_the_checker_is_kept_by_the_model() -> None:
    assert set(RULES_IN_MODEL) == set(RULES)


def test_the_hand_made_plan_is_admitted() -> None:
    assert _admits(casting().problem(), CASTING_PLAN)


@settings(max_examples=25, deadline=None)
@given(networks(most_groups=3, horizon=40))
def test_a_plan_of_the_quick_planner_is_admitted_and_hinted_whole(problem: Problem) -> None:
    plan = sorted_out(Layout(problem), first_plan(problem).placements)
    assert _admits(problem, plan)
    model = SceneModel(_whole(problem))
    add_hints(model, plan)
    hinted = list(model.model.proto.solution_hint.vars)
    assert len(hinted) == len(set(hinted)) == len(model.model.proto.variables)


@settings(max_examples=25, deadline=None)
@given(networks(most_groups=3, horizon=40))
def test_a_quick_bound_is_never_above_what_is_possible(problem: Problem) -> None:
    plan = first_plan(problem)
    bound = quick_bound(_whole(problem), Budget(seconds=10))
    assert len(bound) >= 1
    assert bound <= plan.objective
    outcome = solve_scene(_whole(problem), plan.placements, BUDGET)
    assert outcome.placements is not None
    assert bound <= objective_of(problem, outcome.placements)


def test_a_bound_is_never_taken_from_a_model_the_engine_refuses(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    from ortools.sat.python import cp_model

    monkeypatch.setattr(cp_model.CpSolver, "solve", lambda *_: cp_model.MODEL_INVALID)
    with pytest.raises(AssertionError):
        quick_bound(_whole(casting().problem()), Budget(seconds=1))


@settings(max_examples=25, deadline=None)
@given(networks(most_groups=3, horizon=40))
def test_what_the_engine_finds_keeps_every_rule_and_is_no_worse(problem: Problem) -> None:
    plan = first_plan(problem)
    found: list[Placements] = []
    outcome = solve_scene(_whole(problem), plan.placements, BUDGET, found.append)
    assert outcome.placements is not None
    for placements in [*found, outcome.placements]:
        assert check_placements(problem, placements) == []
        assert objective_of(problem, placements) <= plan.objective
    assert outcome.bound <= objective_of(problem, outcome.placements)


@settings(max_examples=12, deadline=None)
@given(networks(most_groups=1, horizon=20).filter(lambda problem: len(problem.tasks) <= 3))
def test_the_optimum_is_that_of_trying_everything(problem: Problem) -> None:
    outcome = solve_scene(_whole(problem), None, Budget(seconds=60, workers=1))
    assert outcome.status is not Status.INFEASIBLE
    assert outcome.placements is not None
    # The last tier is settled after the solve within a crew, so it may be above its bound.
    best = best_of_all(problem)
    assert objective_of(problem, outcome.placements)[:4] == best[:4]
