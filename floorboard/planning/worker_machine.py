"""How many molds can one person keep busy: the two classical answers, before any planning.

Synchronous servicing: every mold needs the same service and then runs by itself for the same
time, so the round repeats. Source: Niebel & Freivalds, *Methods, Standards, and Work Design*;
Tompkins et al., *Facilities Planning* (machine assignment).

Finite source: services and runs are random (exponential), so molds wait for the person by chance.
Source: the finite-source queue of any operations management text (e.g. Stevenson).
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Servicing:
    """One person's round over machines, all times in the same unit (minutes, say).

    Parameters
    ----------
    service
        The person and the machine together (load, pour, demold), >= 0.
    walk
        The person alone, per machine, >= 0.
    run
        The machine alone, >= 0.
    """

    service: float
    walk: float
    run: float

    def __post_init__(self) -> None:
        if min(self.service, self.walk, self.run) < 0 or self.service + self.walk <= 0:
            raise ValueError("Times must be 0 or more, and a visit must take some time.")

    @property
    def ratio(self) -> float:
        """Return the machines that would keep the person exactly busy."""
        return (self.service + self.run) / (self.service + self.walk)

    def cycle(self, machines: int) -> float:
        """Return the length of a round over some machines."""
        return max(self.service + self.run, machines * (self.service + self.walk))

    def person_idle(self, machines: int) -> float:
        """Return how long the person waits in a round."""
        return self.cycle(machines) - machines * (self.service + self.walk)

    def machine_idle(self, machines: int) -> float:
        """Return how long each machine waits for the person in a round (interference)."""
        return self.cycle(machines) - self.service - self.run

    def cost_per_piece(
        self, machines: int, person_rate: float, machine_rate: float, pieces_per_cycle: float = 1
    ) -> float:
        """Return the cost of a piece.

        Parameters
        ----------
        person_rate, machine_rate
            Cost of the person and of one machine for one unit of time.
        pieces_per_cycle
            Pieces one machine makes in a round.
        """
        rate = person_rate + machines * machine_rate
        return rate * self.cycle(machines) / (machines * pieces_per_cycle)

    def best_number(
        self, person_rate: float, machine_rate: float, pieces_per_cycle: float = 1
    ) -> int:
        """Return the number of machines of least cost: one of the two beside the ratio."""
        below = max(1, int(self.ratio))
        return min(
            (below, below + 1),
            key=lambda n: (self.cost_per_piece(n, person_rate, machine_rate, pieces_per_cycle), n),
        )


@dataclass(frozen=True, slots=True)
class FiniteSource:
    """The long run of some machines and the people who serve them, times exponential.

    Parameters
    ----------
    nobody_needed
        Chance that all machines run.
    being_served, waiting, running
        Mean numbers of machines.
    wait
        Mean wait of a machine for its service, in the unit of the times.
    """

    nobody_needed: float
    being_served: float
    waiting: float
    running: float
    wait: float


def finite_source(machines: int, service: float, run: float, people: int = 1) -> FiniteSource:
    """Return the long run of machines that fail (or finish) at random and wait for a person.

    Parameters
    ----------
    machines
        Number of machines, >= 1.
    service, run
        Mean times with and without a person, > 0.
    people
        People who serve, >= 1.

    Raises
    ------
    ValueError
        When a number or a time is out of range.
    """
    if machines < 1 or people < 1 or service <= 0 or run <= 0:
        raise ValueError("There must be a machine and a person, and both times above 0.")
    # Birth and death: with n machines down, (machines - n) can stop and min(n, people) are served.
    shares = [1.0]
    for down in range(machines):
        rate = (machines - down) / run * service / min(down + 1, people)
        shares.append(shares[-1] * rate)
    total = sum(shares)
    chances = [share / total for share in shares]
    served = sum(min(down, people) * chance for down, chance in enumerate(chances))
    waiting = sum(max(0, down - people) * chance for down, chance in enumerate(chances))
    running = machines - served - waiting
    return FiniteSource(chances[0], served, waiting, running, waiting / (running / run))
