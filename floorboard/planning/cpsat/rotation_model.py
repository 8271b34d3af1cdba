"""The shortest round as a CP-SAT model: one circuit of moves for every person.

Every person's moves form a circuit through a node that stands for the begin of their round; from
the last move they get to the first of the round after. Each soak runs within a round or over its
end: a choice that turns its bounds into linear ones.
"""

from __future__ import annotations

import time
from itertools import pairwise, product
from typing import TYPE_CHECKING, Any

from floorboard.planning.rotation import Rotation, Turn
from floorboard.planning.rotation_waves import best_wave, chains_of

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

    from floorboard.planning.rotation import RotationProblem


def solve_rotation(
    problem: RotationProblem,
    seconds: float,
    deterministic: float | None,
    seed: int,
    workers: int,
) -> Rotation:
    """Return the shortest round within the limits (see `rotation.shortest_round`)."""
    from ortools.sat.python import cp_model

    begin = time.monotonic()
    model = RotationModel(problem)
    wave = best_wave(problem)
    if wave is not None:
        model.hint(wave)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = workers
    solver.parameters.random_seed = seed
    solver.parameters.max_time_in_seconds = seconds
    if deterministic is not None:
        solver.parameters.max_deterministic_time = deterministic
    state = solver.solve(model.model)
    passed = time.monotonic() - begin
    if state == cp_model.INFEASIBLE:
        return Rotation(None, (), model.longest + 1, passed)
    bound = max(0, round(solver.best_objective_bound))
    if state not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Rotation(None, (), bound, passed)
    return Rotation(solver.value(model.period), model.turns(solver), bound, passed)


class RotationModel:
    """A rotation problem made into a model that minimises the period.

    Attributes
    ----------
    follows
        `(person, i, j)` -> literal: the person does j right after i in the same round.
    rides
        `(person, i, j)` -> literal: so, and j rides on the batch of i.
    first, last
        `(person, i)` -> literal: the person's round begins, ends with i.
    """

    def __init__(self, problem: RotationProblem) -> None:
        from ortools.sat.python import cp_model

        self.problem = problem
        self.model = cp_model.CpModel()
        self.longest = self._longest()
        self.period = self.model.new_int_var(1, self.longest, "period")
        # One person's round can be taken to begin at 0; with more, theirs begin when they do.
        self.chains = chains_of(problem)
        self.rounds = 1 if problem.people == 1 else 2
        self.follows: dict[tuple[int, int, int], Any] = {}
        self.rides: dict[tuple[int, int, int], Any] = {}
        self.first: dict[tuple[int, int], Any] = {}
        self.last: dict[tuple[int, int], Any] = {}
        self.ready: list[Any] = []
        self.leads: list[Any] = []
        self._moves()
        self._circuits()
        self._in_turn()
        self._batches()
        self._soaks()
        self._work()
        self.model.minimize(self.period)

    def _longest(self) -> int:
        """Return a length that suffices if any does: everything one after the other."""
        problem = self.problem
        work = sum(move.setup + move.duration for move in problem.moves)
        walks = sum(max(row) for row in problem.walks)
        return work + walks + sum(soak.least for soak in problem.soaks) + 1

    def _moves(self) -> None:
        for index, move in enumerate(self.problem.moves):
            ready = self.model.new_int_var(0, self.rounds * self.longest, f"ready {index}")
            self.model.add(ready <= self.rounds * self.period - 1)
            self.ready.append(ready)
            alone = move.family is None
            self.leads.append(1 if alone else self.model.new_bool_var(f"{index} leads"))

    def _start(self, index: int) -> Any:
        return self.ready[index] - self.problem.moves[index].setup * self.leads[index]

    def _end(self, index: int) -> Any:
        return self.ready[index] + self.problem.moves[index].duration

    def _circuits(self) -> None:
        """Give every move to one person, in an order."""
        model, count = self.model, len(self.problem.moves)
        others: list[list[Any]] = [[] for _ in range(count)]
        for person in range(self.problem.people):
            arcs = []
            for i in range(count):
                first, last = model.new_bool_var(""), model.new_bool_var("")
                self.first[person, i], self.last[person, i] = first, last
                arcs += [(count, i, first), (i, count, last)]
                if self.problem.people > 1:
                    absent = model.new_bool_var("")
                    others[i].append(absent)
                    arcs.append((i, i, absent))
                for j in range(count):
                    if i != j:
                        arc = self.follows[person, i, j] = model.new_bool_var("")
                        arcs.append((i, j, arc))
            if self.problem.people > 1:
                arcs.append((count, count, model.new_bool_var("idle")))
            model.add_circuit(arcs)
        for elsewhere in others:
            if elsewhere:
                model.add(sum(elsewhere) == self.problem.people - 1)
        if self.problem.people > 1:
            # Which of them is called the first person does not matter.
            model.add(others[0][0] == 0)

    def _in_turn(self) -> None:
        """Leave time to get from each move to the next, and from the last to the first again."""
        model, walks = self.model, self.problem.walks
        for (person, i, j), arc in self.follows.items():
            gap = self._start(j) - self._end(i)
            rides = self._rides(person, i, j, arc)
            model.add(gap >= walks[i][j]).only_enforce_if(arc)
            if rides is not None:
                model.add(gap == walks[i][j]).only_enforce_if(rides)
        moves = range(len(self.problem.moves))
        for person, i, j in product(range(self.problem.people), moves, moves):
            ends, begins = self.last[person, i], self.first[person, j]
            if i == j and len(moves) > 1 and self.problem.people == 1:
                continue
            gap = self._start(j) + self.period - self._end(i)
            model.add(gap >= walks[i][j]).only_enforce_if(ends, begins)
        if self.problem.people == 1:
            anchor = self.chains[0][0] if self.chains else 0
            if self.problem.moves[anchor].family is None:
                model.add(self.first[0, anchor] == 1)
            for j in moves:
                model.add(self._start(j) == 0).only_enforce_if(self.first[0, j])

    def _rides(self, person: int, i: int, j: int, arc: Any) -> Any:
        """Return the literal of riding on a batch, None when j could not ride on that of i."""
        moves, families = self.problem.moves, self.problem.families
        one, other = moves[i], moves[j]
        if one.family is None or one.family != other.family:
            return None
        family = families[one.family]
        heavy = one.weight + other.weight > family.max_weight
        age = one.duration + self.problem.walks[i][j] + other.duration
        if heavy or age > family.max_span:
            return None
        rides = self.rides[person, i, j] = self.model.new_bool_var("")
        self.model.add_implication(rides, arc)
        return rides

    def _batches(self) -> None:
        """Keep the weight and the age of every batch within those of its family."""
        model = self.model
        load: dict[int, Any] = {}
        age: dict[int, Any] = {}
        for index, move in enumerate(self.problem.moves):
            if move.family is None:
                continue
            family = self.problem.families[move.family]
            load[index] = model.new_int_var(0, family.max_weight, "")
            age[index] = model.new_int_var(0, family.max_span, "")
            model.add(load[index] >= move.weight)
            alone = move.setup - move.dry_setup + move.duration
            model.add(age[index] >= alone).only_enforce_if(self.leads[index])
            riding = [literal for (_, _, j), literal in self.rides.items() if j == index]
            model.add(sum(riding) + self.leads[index] == 1)
        for (_, i, j), rides in self.rides.items():
            move, walk = self.problem.moves[j], self.problem.walks[i][j]
            model.add(load[j] >= load[i] + move.weight).only_enforce_if(rides)
            model.add(age[j] >= age[i] + walk + move.duration).only_enforce_if(rides)

    def _soaks(self) -> None:
        """Bound every soak, and let every circle take its number of rounds."""
        model, over = self.model, []
        for soak in self.problem.soaks:
            choices = range(1 - self.rounds, self.rounds + 1)
            literals = [model.new_bool_var("") for _ in choices]
            model.add_exactly_one(literals)
            for rounds, literal in zip(choices, literals, strict=True):
                gap = self.ready[soak.after] - self._end(soak.before) + rounds * self.period
                model.add(gap >= soak.least).only_enforce_if(literal)
                model.add(gap <= self.period - 1).only_enforce_if(literal)
                if soak.greatest is not None:
                    model.add(gap <= soak.greatest).only_enforce_if(literal)
            over.append(sum(n * literal for n, literal in zip(choices, literals, strict=True)))
        for soaks, rounds in self.problem.circles:
            model.add(sum(over[soak] for soak in soaks) == rounds)

    def _work(self) -> None:
        """Add what the period cannot be shorter than: the work and walks of every person."""
        moves, walks = self.problem.moves, self.problem.walks
        for person in range(self.problem.people):
            total: Any = 0
            for (who, i, j), arc in self.follows.items():
                if who == person:
                    total += (moves[i].duration + walks[i][j] + moves[j].setup) * arc
            for (who, _, j), rides in self.rides.items():
                if who == person:
                    total -= moves[j].setup * rides
            for i, move in enumerate(moves):
                total += (move.duration + min(walks[i])) * self.last[person, i]
                total += move.setup * self.first[person, i]
            self.model.add(self.period >= total)
        if self.problem.people == 1:
            near = self._nearest()
            for soak in self.problem.soaks:
                # Emptied, then refilled: the place is empty for at least so long.
                empty = moves[soak.after].duration + near[soak.after][soak.before]
                empty += moves[soak.before].duration
                if soak.before != soak.after:
                    self.model.add(self.period >= soak.least + empty)

    def _nearest(self) -> list[list[int]]:
        """Return the shortest ways, with moves on the way taken as no work at all."""
        near = [list(row) for row in self.problem.walks]
        moves = range(len(near))
        for k, i, j in product(moves, moves, moves):
            near[i][j] = min(near[i][j], near[i][k] + near[k][j])
        return near

    def hint(self, rotation: Rotation) -> None:
        """Let the engine start from a round in which every person's moves are in order."""
        assert rotation.period is not None
        model, period, turns = self.model, rotation.period, rotation.turns
        model.add_hint(self.period, period)
        model.add(self.period <= period)
        for person in range(self.problem.people):
            own = [index for index, turn in enumerate(turns) if turn.person == person]
            own.sort(key=lambda index: turns[index].ready)
            # Begin the round with a move that has its own set-up, so that no batch is cut.
            leads = [place for place, index in enumerate(own) if turns[index].previous is None]
            turned = own[leads[0] :] + own[: leads[0]] if leads else own
            for i, j in pairwise(turned):
                model.add_hint(self.follows[person, i, j], 1)
                if turns[j].previous == i:
                    model.add_hint(self.rides[person, i, j], 1)
            if turned:
                model.add_hint(self.first[person, turned[0]], 1)
                model.add_hint(self.last[person, turned[-1]], 1)
        origin = min((turn.start for turn in turns if turn.previous is None), default=0)
        for index, turn in enumerate(turns):
            if self.problem.people == 1:
                model.add_hint(self.ready[index], (turn.ready - origin) % period)
            if not isinstance(self.leads[index], int):
                model.add_hint(self.leads[index], int(turn.previous is None))

    def turns(self, solver: cp_model.CpSolver) -> tuple[Turn, ...]:
        """Return the turns of a solution, `ready` brought into the first round."""
        period = solver.value(self.period)
        person_of, previous = {}, {}
        for (person, i), first in self.first.items():
            if solver.value(first):
                person_of[i] = person
        for (person, _, j), arc in self.follows.items():
            if solver.value(arc):
                person_of[j] = person
        for (_, i, j), rides in self.rides.items():
            if solver.value(rides):
                previous[j] = i
        turns = []
        for index, move in enumerate(self.problem.moves):
            ready = solver.value(self.ready[index]) % period
            setup = 0 if index in previous else move.setup
            turns.append(
                Turn(
                    ready - setup,
                    ready,
                    ready + move.duration,
                    person_of[index],
                    previous.get(index),
                )
            )
        return tuple(turns)
