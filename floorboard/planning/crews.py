"""People who are interchangeable for a network form a crew; give a crew's work to its people.

Planning a crew of n as "n hands" instead of n people spares the exact engine from proving the
same thing for every naming of the people. It loses nothing: work that never needs more than n
hands at once can always be shared out among n people (intervals are coloured greedily by their
start), and a batch is shared out as one stretch of work.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from floorboard.planning.network import Problem, Stretch


@dataclass(frozen=True, slots=True)
class Crew:
    """People with the same stretches who can do the same tasks.

    Parameters
    ----------
    people
        Indices of the people.
    stretches
        When all of them can work.
    """

    people: tuple[int, ...]
    stretches: tuple[Stretch, ...]


def crews_of(problem: Problem) -> tuple[Crew, ...]:
    """Return the crews of a problem; someone with work fixed in the future is a crew alone."""
    able: list[list[int]] = [[] for _ in problem.people]
    booked: set[int] = set()
    for index, task in enumerate(problem.tasks):
        for person in task.people:
            able[person].append(index)
        ahead = task.fixed_start is not None and task.fixed_start > problem.now
        if task.fixed_person is not None and ahead:
            booked.add(task.fixed_person)
    members: dict[object, list[int]] = {}
    for person, entry in enumerate(problem.people):
        key = (person,) if person in booked else (entry.stretches, tuple(able[person]))
        members.setdefault(key, []).append(person)
    return tuple(
        Crew(tuple(people), problem.people[people[0]].stretches) for people in members.values()
    )


@dataclass(frozen=True, slots=True)
class Shift:
    """Work of one crew without a gap: a batch or a single task.

    Parameters
    ----------
    start, end
        Steps, half-open.
    tasks
        In order.
    person
        Who has to do it (a fact), or None.
    liked
        Who would best do it (as in the plan people follow), or None.
    """

    start: int
    end: int
    tasks: tuple[int, ...]
    person: int | None = None
    liked: int | None = None


def share_out(crew: Crew, shifts: Sequence[Shift]) -> dict[int, int]:
    """Return the person of every task of the shifts.

    Parameters
    ----------
    shifts
        Never more than the crew's number at once, facts apart.
    """
    busy_until = dict.fromkeys(crew.people, -1)
    person_of: dict[int, int] = {}
    for shift in sorted(shifts, key=lambda shift: (shift.start, shift.person is None, shift.end)):
        person = shift.person
        if person is None:
            free = [who for who in crew.people if busy_until[who] <= shift.start]
            # The one who has been idle for the shortest time: it keeps long gaps whole.
            person = shift.liked if shift.liked in free else max(free, key=busy_until.__getitem__)
        busy_until[person] = max(busy_until[person], shift.end)
        for task in shift.tasks:
            person_of[task] = person
    return person_of
