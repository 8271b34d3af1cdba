"""Interchangeable people are planned as one crew, and the crew's work is shared out soundly."""

from hypothesis import given
from hypothesis import strategies as st

from floorboard.planning.crews import Crew, Shift, crews_of, share_out
from floorboard.planning.draft import Draft
from floorboard.planning.network import Person, Task

spans = st.lists(st.tuples(st.integers(0, 30), st.integers(1, 8)), max_size=12)


@given(spans, st.integers(1, 4))
def test_work_that_needs_no_more_hands_than_there_are_is_shared_out_without_overlap(
    drawn: list[tuple[int, int]], number: int
) -> None:
    kept: list[Shift] = []
    for place, (start, length) in enumerate(drawn):
        shift = Shift(start, start + length, (place,), liked=place % number)
        steps = range(start, start + length)
        if all(sum(k.start <= s < k.end for k in kept) < number for s in steps):
            kept.append(shift)
    people = share_out(Crew(tuple(range(number)), ((0, 99),)), kept)
    for one in kept:
        for other in kept:
            overlap = max(one.start, other.start) < min(one.end, other.end)
            same = people[one.tasks[0]] == people[other.tasks[0]]
            assert one is other or not (overlap and same)


def test_work_in_hand_keeps_its_person() -> None:
    shifts = [Shift(0, 5, (0,), person=1), Shift(0, 9, (1,), liked=1), Shift(5, 7, (2,), liked=1)]
    assert share_out(Crew((0, 1), ((0, 99),)), shifts) == {0: 1, 1: 0, 2: 1}


def test_a_crew_has_the_same_hours_and_skills_and_no_appointments() -> None:
    draft = Draft(horizon=50, now=10)
    for name in ("Ada", "Ben", "Cy", "Dee", "Eve"):
        draft.person(Person(name, ((0, 30),) if name == "Cy" else ((0, 50),)))
    draft.task(Task("anyone", 2, (0, 1, 2, 3, 4)))
    draft.task(Task("skilled", 2, (0, 1, 4)))
    draft.task(Task("under way", 5, (0,), fixed_start=8, fixed_person=0))
    draft.task(Task("appointment", 5, (4,), fixed_start=20, fixed_person=4))
    # Ada and Ben differ by what Ada alone is doing now, which only she is listed for.
    assert sorted(crew.people for crew in crews_of(draft.problem())) == [
        (0,),
        (1,),
        (2,),
        (3,),
        (4,),
    ]
    draft.tasks[2] = Task("under way", 5, (0, 1, 4), fixed_start=8, fixed_person=0)
    assert (0, 1) in [crew.people for crew in crews_of(draft.problem())]
