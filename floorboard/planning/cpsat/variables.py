"""The decisions of a scene as CP-SAT variables."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from floorboard.planning.clusters import mandatory
from floorboard.planning.network import Anchor
from floorboard.planning.steps import runs

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

    from floorboard.planning.cpsat.scene import Scene

Expression = Any
"""A CP-SAT linear expression, or an int when the scene makes it constant."""


@dataclass(slots=True)
class TaskVariables:
    """What is decided about one task, or known of a constant one.

    Parameters
    ----------
    size
        END minus START.
    present
        Literal (or 1): the task is in the plan.
    leads
        Literal (or 1): it has its own set-up; 0 when it always rides on a batch.
    crews
        Crew -> literal: who does it. Empty for a passive task.
    age, load
        Of a task with a family: steps from the wet moment of its batch to its END, and the
        weight of the batch up to it.
    """

    start: Expression
    ready: Expression
    end: Expression
    size: Expression
    present: Expression
    leads: Expression = 1
    crews: dict[int, Expression] = field(default_factory=dict)
    age: Expression = 0
    load: Expression = 0

    def at(self, anchor: Anchor) -> Expression:
        """Return the moment of an anchor."""
        if anchor is Anchor.START:
            return self.start
        return self.ready if anchor is Anchor.READY else self.end


class Variables:
    """All variables of a scene.

    Attributes
    ----------
    tasks
        Task -> its variables; also for the constant tasks that are present.
    groups
        Free cluster -> literal of its presence (1 when mandatory, 0 when impossible).
    follows
        `(i, j)` -> literal: j comes right after i in one batch.
    holds, hold_ends
        Hold index -> its `(start, end)`, and the variables `(latest of both, size)`.
    finish
        Free cluster with a group -> the end of its last task.
    highest
        `(variable, tasks, floor)` for variables that stand for the latest END of some tasks.
    counted, late, moved
        Cluster -> its finish or 0 when absent, its lateness; reference task -> it moves.
    lost_holds
        Hold index -> literal: it stays because its group is absent.
    """

    def __init__(self, model: cp_model.CpModel, scene: Scene) -> None:
        self.model = model
        self.scene = scene
        self.tasks: dict[int, TaskVariables] = {}
        self.groups: dict[int, Expression] = {}
        self.follows: dict[tuple[int, int], Expression] = {}
        self.holds: dict[int, tuple[Expression, Expression]] = {}
        self.hold_ends: dict[int, tuple[Expression, Expression]] = {}
        self.finish: dict[int, Expression] = {}
        self.highest: list[tuple[Expression, tuple[int, ...], int]] = []
        self.counted: dict[int, Expression] = {}
        self.late: dict[int, Expression] = {}
        self.lost_holds: dict[int, Expression] = {}
        self.moved: dict[int, Expression] = {}
        self._rank = {
            task: (kind, position, rank)
            for kind, clusters in enumerate(scene.alike_free())
            for rank, index in enumerate(clusters)
            for position, task in enumerate(self.group_tasks(index))
        }
        self._claimed = {
            task.follows: index
            for index, task in enumerate(scene.problem.tasks)
            if task.follows is not None and task.fixed_start is None
        }
        self._add_groups()
        self._add_tasks()

    def group_tasks(self, index: int) -> tuple[int, ...]:
        """Return the tasks of a cluster in the order its group lists them."""
        group = self.scene.layout.clusters[index].group
        assert group is not None
        return self.scene.problem.groups[group].tasks

    def _add_groups(self) -> None:
        scene = self.scene
        for index in scene.free:
            group = scene.layout.clusters[index].group
            if mandatory(scene.problem, group):
                self.groups[index] = 1
                if index in scene.impossible:
                    self.model.add_bool_or([])
            elif index in scene.impossible:
                self.groups[index] = 0
            else:
                assert group is not None
                self.groups[index] = self.model.new_bool_var(scene.problem.groups[group].name)

    def _add_tasks(self) -> None:
        scene = self.scene
        for task, placed in enumerate(scene.constant):
            home = scene.layout.home[task]
            if scene.is_free(task):
                self.tasks[task] = self._free(task, self.groups[home])
            elif placed is not None and home not in scene.impossible:
                start, ready, end, person, previous, _ = placed
                present = self.groups.get(home, 1)
                made = TaskVariables(start, ready, end, end - start, present, int(previous is None))
                if person is not None:
                    made.crews = {scene.crew_of[person]: 1}
                made.age, made.load = scene.batch_so_far(task)
                self.tasks[task] = made

    def _free(self, index: int, present: Expression) -> TaskVariables:
        task, model = self.scene.problem.tasks[index], self.model
        ready = self._over(self.scene.domains[index], f"ready {task.name}")
        start, leads = ready - task.setup, present
        size: Expression = task.setup + task.duration
        if task.follows is not None:
            start, leads, size = ready, 0, task.duration
        elif task.family is not None:
            leads = model.new_bool_var(f"leads {task.name}")
            low, high = self.scene.first_start(index), self.scene.last_end(index) - task.duration
            start = model.new_int_var(low, high, f"start {task.name}")
            model.add(start + task.setup * leads == ready)
            size = task.duration + task.setup * leads
        made = TaskVariables(start, ready, ready + task.duration, size, present, leads)
        crews = sorted({self.scene.crew_of[person] for person in task.people})
        if len(crews) == 1:
            made.crews = {crews[0]: present}
        else:
            for crew in crews:
                made.crews[crew] = model.new_bool_var(f"crew {crew} does {task.name}")
        if task.family is not None:
            self._add_batch(index, made)
        return made

    def _add_batch(self, index: int, made: TaskVariables) -> None:
        task = self.scene.problem.tasks[index]
        assert task.family is not None
        family = self.scene.problem.families[task.family]
        alone = task.duration + task.setup - task.dry_setup
        made.age = self.model.new_int_var(0, family.max_span, f"age {task.name}")
        if task.follows is None and (alone > family.max_span or task.weight > family.max_weight):
            self.model.add(made.leads == 0)
        elif task.follows is None:
            self.model.add(made.age >= alone).only_enforce_if(made.leads)
        weight = min(task.weight, family.max_weight)
        made.load = self.model.new_int_var(weight, family.max_weight, f"load {task.name}")

    def _over(self, steps: int, name: str) -> Expression:
        from ortools.sat.python import cp_model

        return self.model.new_int_var_from_domain(
            cp_model.Domain.from_intervals([[a, b - 1] for a, b in runs(steps)]), name
        )

    def tails(self, family: int) -> list[int]:
        """Return the tasks of a family that are free or end a constant batch."""
        problem, scene = self.scene.problem, self.scene
        return [
            task
            for task in self.tasks
            if problem.tasks[task].family == family
            and (scene.is_free(task) or scene.ends_batch(task))
        ]

    def may_follow(self, before: int, after: int) -> bool:
        """Return whether one task could come right after another in a batch at all."""
        scene, tasks = self.scene, self.scene.problem.tasks
        first, second = tasks[before], tasks[after]
        if before == after or second.follows not in (None, before):
            return False
        if self._claimed.get(before, after) != after:
            return False
        family = scene.problem.families[second.family or 0]
        least_load = first.weight if scene.is_free(before) else self.tasks[before].load
        least_age = first.duration if scene.is_free(before) else self.tasks[before].age
        if least_load + second.weight > family.max_weight:
            return False
        if least_age + second.duration > family.max_span:
            return False
        mine, theirs = self._rank.get(after), self._rank.get(before)
        if mine is not None and theirs is not None and mine[:2] == theirs[:2] and mine < theirs:
            return False
        ends = scene.ready_steps(before) << first.duration
        return bool(ends & scene.domains[after]) and not scene.kept_apart(before, after)
