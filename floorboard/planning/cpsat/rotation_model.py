"""The shortest round as a CP-SAT model: which of two moves comes first, for every pair.

The round is a circle: it is cut at the READY of one move, and every moment is told from there,
`0 <= READY < period`. Of two moves of one person one comes first, and from the later there is
still the way to the earlier in the round after. Each soak runs within a round or over its end:
a choice that turns its bounds into linear ones.
"""

from __future__ import annotations

import time
from itertools import combinations
from typing import TYPE_CHECKING, Any

from floorboard.planning.rotation import Rotation, Turn
from floorboard.planning.rotation_bounds import alike_neighbours, least_gaps, least_period
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
    wave = best_wave(problem)
    model = RotationModel(problem, None if wave is None else wave.period)
    if wave is not None:
        model.hint(wave)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = workers
    solver.parameters.random_seed = seed
    # Ctrl-C ends the command, not only this one search of several.
    solver.parameters.catch_sigint_signal = False
    solver.parameters.max_time_in_seconds = max(0.01, seconds - (time.monotonic() - begin))
    if deterministic is not None:
        solver.parameters.max_deterministic_time = deterministic
    state = solver.solve(model.model)
    passed = time.monotonic() - begin
    if state == cp_model.INFEASIBLE:
        return Rotation(None, (), model.longest + 1, passed, impossible=True)
    bound = max(model.least, round(solver.best_objective_bound))
    if state not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Rotation(None, (), bound, passed) if wave is None else _of(wave, bound, passed)
    return Rotation(solver.value(model.period), model.turns(solver), bound, passed)


def _of(wave: Rotation, bound: int, passed: float) -> Rotation:
    return Rotation(wave.period, wave.turns, bound, passed)


class RotationModel:
    """A rotation problem made into a model that minimises the period.

    Parameters
    ----------
    known
        The length of a round that is known already; none longer is looked for.

    Attributes
    ----------
    least, longest
        The period lies between them.
    ready, leads
        Per move its READY, and whether it has its own set-up.
    does
        `(move, person)` -> literal: who does it.
    before
        `(i, j)` -> literal: one person does both, and i is READY before j.
    rides
        `(i, j)` -> literal: j rides on the batch of i, right after it.
    """

    def __init__(self, problem: RotationProblem, known: int | None = None) -> None:
        from ortools.sat.python import cp_model

        self.problem = problem
        self.model = cp_model.CpModel()
        self.chains = chains_of(problem)
        # One person comes past the first move in every round, so what follows from that of the
        # others need not be said: no walk is longer than by way of it.
        self.alone = problem.people == 1 and len(problem.moves) > 1
        self.anchor = self.chains[0][0] if self.chains else 0
        self.least = least_period(problem)
        self.longest = known if known is not None else max(self.least, self._longest())
        # Where molds go round, the bound is close. Elsewhere it is far off, and measured to lead
        # the engine astray.
        shortest = self.least if self.chains else 1
        self.period = self.model.new_int_var(shortest, self.longest, "period")
        self.ready: list[Any] = []
        self.leads: list[Any] = []
        self.does: dict[tuple[int, int], Any] = {}
        self.before: dict[tuple[int, int], Any] = {}
        self.rides: dict[tuple[int, int], Any] = {}
        self.over: list[Any] = []
        self._moves()
        self._people()
        self._in_turn()
        self._batches()
        self._soaks()
        self._alike()
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
            last = 0 if index == self.anchor else self.longest - 1
            ready = self.model.new_int_var(0, last, f"ready {index}")
            self.ready.append(ready)
            alone = move.family is None
            leads = 1 if alone else self.model.new_bool_var(f"{index} leads")
            self.leads.append(leads)
            if not self.alone:
                again = self.problem.walks[index][index] + move.duration + move.setup * leads
                self.model.add(ready <= self.period - 1)
                self.model.add(self.period >= again)

    def _start(self, index: int) -> Any:
        return self.ready[index] - self.problem.moves[index].setup * self.leads[index]

    def _end(self, index: int) -> Any:
        return self.ready[index] + self.problem.moves[index].duration

    def _people(self) -> None:
        """Give every move to one person; that of the first is called the first."""
        model, people = self.model, range(self.problem.people)
        if len(people) == 1:
            return
        for index in range(len(self.problem.moves)):
            own = [model.new_bool_var(f"{person} does {index}") for person in people]
            model.add_exactly_one(own)
            self.does.update({(index, person): own[person] for person in people})
        model.add(self.does[self.anchor, 0] == 1)

    def _in_turn(self) -> None:
        """Leave time to get from each move of a person to every other, within and over the end."""
        model = self.model
        for i, j in combinations(range(len(self.problem.moves)), 2):
            first = model.new_bool_var(f"{i} before {j}")
            if self.problem.people == 1:
                self.before[i, j], self.before[j, i] = first, ~first
            else:
                other = self.before[j, i] = model.new_bool_var(f"{j} before {i}")
                self.before[i, j] = first
                model.add_at_most_one(first, other)
                for person in range(self.problem.people):
                    both = [~self.does[i, person], ~self.does[j, person], first, other]
                    model.add_bool_or(both)
                    # Before one another, so done by one person.
                    for literal in (first, other):
                        model.add_bool_or([~literal, ~self.does[i, person], self.does[j, person]])
            if self.anchor in (i, j):
                late = (j, i) if i == self.anchor else (i, j)
                model.add(self.before[late] == 0)
                self._first(*late[::-1])
                continue
            for one, two in ((i, j), (j, i)):
                self._first(one, two)

    def _first(self, i: int, j: int) -> None:
        walks, literal = self.problem.walks, self.before[i, j]
        self.model.add(self._start(j) - self._end(i) >= walks[i][j]).only_enforce_if(literal)
        if not self.alone or i == self.anchor:
            again = self._start(i) + self.period - self._end(j)
            self.model.add(again >= walks[j][i]).only_enforce_if(literal)

    def _batches(self) -> None:
        """Let moves of a family ride on one batch, within its weight and its age."""
        model, moves = self.model, self.problem.moves
        load: dict[int, Any] = {}
        age: dict[int, Any] = {}
        members = [index for index, move in enumerate(moves) if move.family is not None]
        for index in members:
            family = self.problem.families[moves[index].family or 0]
            load[index] = model.new_int_var(0, family.max_weight, "")
            age[index] = model.new_int_var(0, family.max_span, "")
            model.add(load[index] >= moves[index].weight)
            alone = moves[index].setup - moves[index].dry_setup + moves[index].duration
            model.add(age[index] >= alone).only_enforce_if(self.leads[index])
        for i in members:
            for j in members:
                if i != j and self._may_ride(i, j):
                    self._ride(i, j)
        for (i, j), rides in self.rides.items():
            more, walk = moves[j], self.problem.walks[i][j]
            model.add(load[j] >= load[i] + more.weight).only_enforce_if(rides)
            model.add(age[j] >= age[i] + walk + more.duration).only_enforce_if(rides)
        for index in members:
            riding = [literal for (_, j), literal in self.rides.items() if j == index]
            model.add_exactly_one([*riding, self.leads[index]])
            model.add_at_most_one(lit for (i, _), lit in self.rides.items() if i == index)

    def _may_ride(self, i: int, j: int) -> bool:
        one, other = self.problem.moves[i], self.problem.moves[j]
        if one.family != other.family:
            return False
        family, walk = self.problem.families[one.family or 0], self.problem.walks[i][j]
        soaks = (s for s in self.problem.soaks if (s.before, s.after) == (i, j))
        light = one.weight + other.weight <= family.max_weight
        fresh = one.duration + walk + other.duration <= family.max_span
        return light and fresh and all(soak.least <= walk for soak in soaks)

    def _ride(self, i: int, j: int) -> None:
        """Let j come right after i, also where that is over the end of the round."""
        model = self.model
        rides = self.rides[i, j] = model.new_bool_var(f"{j} rides on {i}")
        model.add_bool_or([~rides, self.before[i, j], self.before[j, i]])
        late = self.ready[j] - self._end(i) - self.problem.walks[i][j]
        model.add(late == 0).only_enforce_if(rides, self.before[i, j])
        model.add(late + self.period == 0).only_enforce_if(rides, self.before[j, i])

    def _soaks(self) -> None:
        """Bound every soak, and let every circle take its number of rounds."""
        single = {s for soaks, rounds in self.problem.circles if rounds == 1 for s in soaks}
        for place, soak in enumerate(self.problem.soaks):
            gap = self.ready[soak.after] - self._end(soak.before)
            if soak.before == soak.after:
                self.over.append(1)
                self._soak(gap + self.period, soak.least, soak.greatest, [])
                continue
            choices = self._choices(place, place in single)
            for rounds, literal in choices:
                passed = gap + rounds * self.period
                self._soak(passed, soak.least, soak.greatest, [literal])
            self.over.append(sum(rounds * literal for rounds, literal in choices if rounds))
        for soaks, rounds in self.problem.circles:
            self.model.add(sum(self.over[soak] for soak in soaks) == rounds)
        for chain_soaks, rounds in self.problem.circles:
            if rounds == 1:
                self._chain(chain_soaks)

    def _choices(self, place: int, single: bool) -> list[tuple[int, Any]]:
        """Return over how many ends of a round a soak may run, each with its literal."""
        soak, model = self.problem.soaks[place], self.model
        if self.problem.people == 1:
            within = self.before[soak.before, soak.after]
            return [(0, within), (1, ~within)]
        if single:
            over = model.new_bool_var(f"soak {place} over the end")
            return [(0, ~over), (1, over)]
        choices = [(rounds, model.new_bool_var("")) for rounds in range(3)]
        model.add_exactly_one(literal for _, literal in choices)
        return choices

    def _soak(self, gap: Any, least: int, greatest: int | None, when: list[Any]) -> None:
        self.model.add(gap >= least).only_enforce_if(when)
        if not self.alone:
            self.model.add(gap <= self.period - 1).only_enforce_if(when)
        if greatest is not None:
            self.model.add(gap <= greatest).only_enforce_if(when)

    def _chain(self, soaks: tuple[int, ...]) -> None:
        """Let the one soak over the end tell the order of all moves of a mold."""
        moves = [self.problem.soaks[soak].before for soak in soaks]
        for a, b in combinations(range(len(moves)), 2):
            i, j = moves[a], moves[b]
            crossed = sum(self.over[soak] for soak in soaks[a:b])
            if self.problem.people == 1:
                self.model.add(self.before[i, j] + crossed == 1)
            else:
                self.model.add(self.before[i, j] + crossed <= 1)
                self.model.add(self.before[j, i] <= crossed)

    def _alike(self) -> None:
        """Number interchangeable molds by the moment of their first move."""
        for one, other in alike_neighbours(self.problem, self.chains):
            self.model.add(self.ready[one] <= self.ready[other])

    def _work(self) -> None:
        """Add what the period cannot be shorter than: the hands of a round, shared by people."""
        total: Any = 0
        for index, gap in enumerate(least_gaps(self.problem)):
            move = self.problem.moves[index]
            total += move.duration + gap + move.setup * self.leads[index]
        if not isinstance(total, int):
            self.model.add(self.problem.people * self.period >= total)
        for person in range(self.problem.people if self.does else 0):
            own = sum(
                move.duration * self.does[index, person]
                for index, move in enumerate(self.problem.moves)
            )
            self.model.add(self.period >= own)

    def hint(self, rotation: Rotation) -> None:
        """Let the engine start from a round."""
        assert rotation.period is not None
        model, period, turns = self.model, rotation.period, rotation.turns
        origin = turns[self.anchor].ready
        names = {turns[self.anchor].person: 0}
        at = [(turn.ready - origin) % period for turn in turns]
        model.add_hint(self.period, period)
        for index, turn in enumerate(turns):
            who = names.setdefault(turn.person, len(names))
            model.add_hint(self.ready[index], at[index])
            if not isinstance(self.leads[index], int):
                model.add_hint(self.leads[index], int(turn.previous is None))
            if self.does:
                for person in range(self.problem.people):
                    model.add_hint(self.does[index, person], int(who == person))
        for (i, j), literal in self.before.items():
            if self.problem.people > 1 or i < j:
                same = turns[i].person == turns[j].person
                model.add_hint(literal, int(same and at[i] < at[j]))
        for (i, j), literal in self.rides.items():
            model.add_hint(literal, int(turns[j].previous == i))

    def turns(self, solver: cp_model.CpSolver) -> tuple[Turn, ...]:
        """Return the turns of a solution."""
        previous = {j: i for (i, j), rides in self.rides.items() if solver.value(rides)}
        person_of = {index: who for (index, who), does in self.does.items() if solver.value(does)}
        turns = []
        for index, move in enumerate(self.problem.moves):
            ready = solver.value(self.ready[index])
            setup = 0 if index in previous else move.setup
            end = ready + move.duration
            who = person_of.get(index, 0)
            turns.append(Turn(ready - setup, ready, end, who, previous.get(index)))
        return tuple(turns)
