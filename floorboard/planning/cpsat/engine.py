"""Solve a scene exactly, in stages where its tiers need them, with a proven bound."""

from __future__ import annotations

import threading
import time
from dataclasses import dataclass
from typing import TYPE_CHECKING

from floorboard.planning.cpsat.hints import add_hints
from floorboard.planning.cpsat.model import SceneModel
from floorboard.planning.cpsat.objective import digits, reached_in, stages_of, total_of
from floorboard.planning.network import Goal
from floorboard.planning.solution import Status
from floorboard.planning.tiers import objective_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from ortools.sat.python import cp_model

    from floorboard.planning.cpsat.objective import Tier
    from floorboard.planning.cpsat.scene import Scene
    from floorboard.planning.solution import Placements

POLL_SECONDS = 0.02
"""How often a running solve asks whether to stop."""


@dataclass(frozen=True, slots=True)
class Budget:
    """What one solve may take, as in `Limits`.

    Parameters
    ----------
    prove
        Add what helps to prove a bound, and settle the tiers one after another.
    prepare
        Let the engine prepare a long search; without, a search of a second is over in the time
        that would take.
    """

    seconds: float
    deterministic: float | None = None
    seed: int = 1
    workers: int = 1
    prove: bool = True
    prepare: bool = True


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a solve found.

    Parameters
    ----------
    placements
        Of the whole problem; None when nothing was found.
    bound
        Proven lower bound of the leading tiers (see `Solution.bound`), of the whole problem
        with all that is constant in the scene as it is.
    work
        Deterministic time spent.
    """

    status: Status
    placements: Placements | None
    bound: tuple[int, ...]
    work: float


def solve_scene(
    scene: Scene,
    start: Placements | None,
    budget: Budget,
    on_better: Callable[[Placements], None] | None = None,
    stop: Callable[[], bool] | None = None,
    known: tuple[int, ...] = (),
) -> Outcome:
    """Return the best schedule of a scene.

    Parameters
    ----------
    start
        A schedule to begin from; its people are kept where possible.
    on_better
        Told of every schedule whose objective is better than all before.
    stop
        Asked every 20 ms while the engine runs.
    known
        A bound of the leading tiers that is proved already: what reaches it need not be proved.
    """
    stages = _Stages(SceneModel(scene, budget.prove), start, budget, on_better, stop)
    return stages.run(known)


class _Stages:
    def __init__(
        self,
        model: SceneModel,
        start: Placements | None,
        budget: Budget,
        on_better: Callable[[Placements], None] | None,
        stop: Callable[[], bool] | None,
    ) -> None:
        self.model = model
        self.budget = budget
        self.on_better = on_better
        self.stop = stop
        self.best = start
        self.best_objective = None if start is None else objective_of(model.scene.problem, start)
        self.begin = time.monotonic()
        self.work = 0.0

    def run(self, known: tuple[int, ...]) -> Outcome:
        bound: tuple[int, ...] = ()
        total: int | None
        proved = True
        first = 0
        stages = stages_of(self.model.tiers, not self.budget.prove)
        for place, stage in enumerate(stages):
            # A stage that is not proved leaves half of what is left to those after it.
            share = 1.0 if place == len(stages) - 1 else 0.5
            upto = first + len(stage)
            if proved and self.best_objective is not None and self.best_objective[:upto] == known:
                status, total = Status.OPTIMAL, self._hold_best(stage, first)
            else:
                status, total = self._stage(stage, first, share)
            first = upto
            if status is Status.INFEASIBLE:
                return Outcome(status, None, (), self.work)
            if total is not None and proved:
                bound += digits(total, stage)
            proved = proved and status is Status.OPTIMAL
            if self.best is None or self._passed() >= self.budget.seconds:
                break
        proved = proved and self.best_objective is not None and bound >= self.best_objective
        return Outcome(Status.OPTIMAL if proved else self._state(), self.best, bound, self.work)

    def _state(self) -> Status:
        return Status.UNKNOWN if self.best is None else Status.FEASIBLE

    def _stage(self, stage: list[Tier], first: int, share: float) -> tuple[Status, int | None]:
        """Minimise the tiers from `first` on, then hold them; return what is proved of their sum."""
        from ortools.sat.python import cp_model

        model = self.model.model
        total = total_of(stage)
        if isinstance(total, int):
            return self._feasible(), total
        model.minimize(total)
        solver, state = self._solve(share)
        known: dict[int, Status] = {
            int(cp_model.OPTIMAL): Status.OPTIMAL,
            int(cp_model.FEASIBLE): Status.FEASIBLE,
            int(cp_model.INFEASIBLE): Status.INFEASIBLE,
        }
        status = known.get(state, Status.UNKNOWN)
        if state == cp_model.MODEL_INVALID:
            raise AssertionError(model.validate())
        if status is Status.INFEASIBLE:
            return status, None
        if status is Status.UNKNOWN and self.best is None:
            return status, max(0, round(solver.best_objective_bound))
        if status is Status.UNKNOWN:
            self._hold_best(stage, first)
        else:
            reached = round(solver.objective_value)
            model.add(total <= reached)
            if status is Status.OPTIMAL:
                return status, reached
        return status, max(0, round(solver.best_objective_bound))

    def _hold_best(self, stage: list[Tier], first: int) -> int:
        """Let the solves to come be no worse in a stage than the best schedule known; its sum."""
        assert self.best_objective is not None
        reached = reached_in(stage, self.best_objective[first : first + len(stage)])
        total = total_of(stage)
        if not isinstance(total, int):
            self.model.model.add(total <= reached)
        return reached

    def _feasible(self) -> Status:
        """Settle a stage in which there is nothing to minimise."""
        from ortools.sat.python import cp_model

        if self.best is not None:
            return Status.OPTIMAL
        _, state = self._solve(1.0)
        if state == cp_model.INFEASIBLE:
            return Status.INFEASIBLE
        return Status.OPTIMAL if state in (cp_model.OPTIMAL, cp_model.FEASIBLE) else Status.UNKNOWN

    def _solve(self, share: float) -> tuple[cp_model.CpSolver, int]:
        from ortools.sat.python import cp_model

        from floorboard.planning.cpsat.listener import Listener

        # For a makespan the engine's own search is quicker than one that starts from a poor hint.
        if self.best is not None and self.model.scene.problem.goal is Goal.TIERS:
            add_hints(self.model, self.best)
        solver = cp_model.CpSolver()
        parameters = solver.parameters
        parameters.num_workers = self.budget.workers
        parameters.random_seed = self.budget.seed
        left = self.budget.seconds - self._passed()
        parameters.max_time_in_seconds = max(0.01, share * left)
        if self.budget.deterministic is not None:
            ticks = self.budget.deterministic - self.work
            parameters.max_deterministic_time = max(0.001, share * ticks)
        if self.model.scene.problem.goal is Goal.MAKESPAN:
            # On shops of single machines this proves in seconds what else takes minutes.
            parameters.use_dynamic_precedence_in_disjunctive = True
        if not self.budget.prepare:
            parameters.cp_model_probing_level = 0
            parameters.max_presolve_iterations = 1
            parameters.symmetry_level = 0
        # Reading every answer takes time that the last one alone does not, if nobody listens.
        listener = None if self.on_better is None else Listener(self._found)
        ended = threading.Event()
        watch = None
        if self.stop is not None:
            watch = threading.Thread(target=self._watch, args=(solver, ended), daemon=True)
            watch.start()
        state = solver.solve(self.model.model, listener)
        ended.set()
        if watch is not None:
            watch.join()
        if listener is None and state in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            self._found(lambda what: what if isinstance(what, int) else solver.value(what))  # type: ignore[arg-type]
        self.work += solver.response_proto.deterministic_time
        return solver, int(state)

    def _watch(self, solver: cp_model.CpSolver, ended: threading.Event) -> None:
        while not ended.wait(POLL_SECONDS):
            if self.stop is not None and self.stop():
                # A stop before the solve has begun is forgotten by the engine, so it is repeated.
                solver.stop_search()

    def _found(self, value: Callable[[object], int]) -> None:
        placements = self.model.placements(value, self.best or ())
        objective = objective_of(self.model.scene.problem, placements)
        if self.best_objective is None or objective < self.best_objective:
            self.best, self.best_objective = placements, objective
            if self.on_better is not None:
                self.on_better(placements)

    def _passed(self) -> float:
        return time.monotonic() - self.begin
