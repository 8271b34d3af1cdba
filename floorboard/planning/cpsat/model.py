"""A scene as a CP-SAT model, and the schedule read from its solution."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.planning.cpsat.cuts import add_cuts
from floorboard.planning.cpsat.objective import tiers_of
from floorboard.planning.cpsat.rules import Rules
from floorboard.planning.cpsat.variables import Variables
from floorboard.planning.crews import Shift, share_out
from floorboard.planning.solution import Placement

if TYPE_CHECKING:
    from collections.abc import Callable

    from floorboard.planning.cpsat.scene import Scene
    from floorboard.planning.cpsat.variables import Expression
    from floorboard.planning.solution import Placements

    Value = Callable[[Expression], int]


class SceneModel:
    """A scene made into a model; `tiers` are what it can minimise, most important first.

    Parameters
    ----------
    prove
        Add the sums of work that help to prove a bound; a quick look does without.
    """

    def __init__(self, scene: Scene, prove: bool = True) -> None:
        from ortools.sat.python import cp_model

        self.scene = scene
        self.model = cp_model.CpModel()
        self.variables = Variables(self.model, scene)
        Rules(self.variables).add_all()
        self.tiers = tiers_of(self.variables)
        add_cuts(self.variables, prove)

    def placements(self, value: Value, liked: Placements) -> Placements:
        """Return the schedule of a solution.

        Parameters
        ----------
        value
            Gives the value of an expression in the solution.
        liked
            A schedule whose people are kept where possible.
        """
        scene, tasks = self.scene, self.scene.problem.tasks
        previous = {
            after: before for (before, after), arc in self.variables.follows.items() if value(arc)
        }
        moments: dict[int, tuple[int, int, int, int | None]] = {}
        for task, made in self.variables.tasks.items():
            if not value(made.present):
                continue
            constant = scene.constant[task]
            if constant is not None:
                moments[task] = (*constant[:3], constant[4])
                continue
            ready, before = value(made.ready), previous.get(task)
            start = ready if before is not None else ready - tasks[task].setup
            moments[task] = start, ready, ready + tasks[task].duration, before
        people = self._people(value, moments, liked)
        placed: list[Placement | None] = [None] * len(tasks)
        for task, (start, ready, end, before) in moments.items():
            leader = task
            while (ahead := moments[leader][3]) is not None:
                leader = ahead
            placed[task] = Placement(start, ready, end, people.get(task), before, leader)
        return tuple(placed)

    def _people(
        self,
        value: Value,
        moments: dict[int, tuple[int, int, int, int | None]],
        liked: Placements,
    ) -> dict[int, int]:
        """Share the work of every crew out among its people, batch by batch."""
        after = {entry[3]: task for task, entry in moments.items() if entry[3] is not None}
        shifts: list[list[Shift]] = [[] for _ in self.scene.crews]
        for task, (start, _, end, before) in moments.items():
            crew = next(
                (c for c, done in self.variables.tasks[task].crews.items() if value(done)), None
            )
            if before is not None or crew is None:
                continue
            chain = [task]
            while (rider := after.get(chain[-1])) is not None:
                chain.append(rider)
                end = moments[rider][2]
            facts = [t for t in chain if self.scene.problem.tasks[t].fixed_start is not None]
            known = self.scene.problem.tasks[facts[0]].fixed_person if facts else None
            shifts[crew].append(Shift(start, end, tuple(chain), known, self._liked(chain, liked)))
        people: dict[int, int] = {}
        for members, work in zip(self.scene.crews, shifts, strict=True):
            people.update(share_out(members, work))
        return people

    def _liked(self, chain: list[int], liked: Placements) -> int | None:
        for task in chain:
            if liked and (placement := liked[task]) is not None:
                return placement.person
        return None
