"""A proven bound in a moment: the sums of work without the moments.

Who is present, who leads, and how much work fits into every window of time: that is a small model
without any order in it. No schedule is better than its optimum, though none may be as good.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.planning.cpsat.cuts import add_cuts
from floorboard.planning.cpsat.objective import digits, stages_of, tiers_of, total_of
from floorboard.planning.cpsat.variables import Variables
from floorboard.planning.network import Goal

if TYPE_CHECKING:
    from floorboard.planning.cpsat.engine import Budget
    from floorboard.planning.cpsat.scene import Scene


def quick_bound(scene: Scene, budget: Budget) -> tuple[int, ...]:
    """Return a lower bound of the tiers that say what is planned.

    Empty for a makespan, and where the sums already say that there is no schedule.
    """
    from ortools.sat.python import cp_model

    if scene.problem.goal is Goal.MAKESPAN:
        return ()
    model = cp_model.CpModel()
    variables = Variables(model, scene)
    stage = stages_of(tiers_of(variables), together=False)[0]
    add_cuts(variables, prove=True)
    total = total_of(stage)
    if isinstance(total, int):
        return digits(total, stage)
    model.minimize(total)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = budget.seed
    solver.parameters.cp_model_probing_level = 0
    solver.parameters.max_time_in_seconds = budget.seconds
    if budget.deterministic is not None:
        solver.parameters.max_deterministic_time = budget.deterministic
    state = solver.solve(model)
    if state == cp_model.MODEL_INVALID:
        raise AssertionError(model.validate())
    if state == cp_model.INFEASIBLE:
        return ()
    return digits(max(0, round(solver.best_objective_bound)), stage)
