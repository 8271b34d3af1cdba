"""Networks that several tests of the planning core use."""

import pytest

from floorboard.planning.draft import Draft
from floorboard.planning.network import (
    Anchor,
    Family,
    Group,
    Hold,
    Lag,
    Moment,
    Person,
    Problem,
    Station,
    Task,
)


@pytest.fixture(scope="session")
def day_of_castings() -> Problem:
    """Return an invented day: two people, three molds of one piece, ten castings wanted."""
    draft = Draft(horizon=300)
    draft.person(Person("Ada", ((0, 140), (170, 300))))
    draft.person(Person("Ben", ((0, 160), (190, 300))))
    draft.family(Family("gypsum", 12, 24))
    mold = draft.station(Station("mold", 3))
    for number in range(10):
        before, tasks = None, []
        for layer in range(3):
            task = draft.task(Task(f"{number} layer {layer}", 6, (0, 1), 3, 1, 0, 4))
            if before is not None:
                draft.lag(Lag(before, task, 12, 30, Anchor.END, Anchor.READY))
            tasks.append(task)
            before = task
        off = draft.task(Task(f"{number} demold", 4, (0, 1)))
        draft.lag(Lag(tasks[-1], off, 30))
        draft.hold(Hold(mold, Moment(tasks[0], Anchor.READY), Moment(off, Anchor.END)))
        draft.group(Group(f"casting {number}", (*tasks, off), alike=0))
    return draft.problem()
