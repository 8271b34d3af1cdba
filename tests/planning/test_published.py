"""Published instances go through the same code as the shop, and their optima are proved."""

from itertools import permutations

import pytest

from floorboard.planning.check_network import check_solution
from floorboard.planning.draft import Draft
from floorboard.planning.network import Anchor, Goal, Group, Lag, Person, Problem, Station, Task
from floorboard.planning.published import job_shop, project
from floorboard.planning.search import solve
from floorboard.planning.solution import Limits, Solution, Status

LIMITS = Limits(seconds=60, deterministic=8, seed=1, workers=1)


def _proved(problem: Problem) -> Solution:
    solution = solve(problem, LIMITS)
    assert check_solution(problem, solution) == []
    assert solution.status is Status.OPTIMAL
    assert solution.bound == solution.objective
    assert solution.gap == 0
    return solution


@pytest.mark.parametrize(
    ("name", "makespan"),
    [
        # Fisher & Thompson (1963).
        ("ft06", 55),
        # Lawrence (1984).
        ("la05", 593),
    ],
)
def test_job_shops_are_solved_to_their_published_makespan(name: str, makespan: int) -> None:
    assert _proved(job_shop(name)).objective == (makespan,)


@pytest.mark.long
def test_the_job_shop_of_ten_by_ten_is_proved() -> None:
    # ft10, Fisher & Thompson (1963): proved only in 1989, by Carlier & Pinson.
    solution = solve(job_shop("ft10"), Limits(seconds=300, seed=1, workers=2))
    assert check_solution(job_shop("ft10"), solution) == []
    assert (solution.objective, solution.bound) == ((930,), (930,))
    assert solution.status is Status.OPTIMAL


def test_a_listener_hears_of_a_first_answer_to_a_job_shop_and_of_better_ones() -> None:
    heard: list[Solution] = []
    best = solve(job_shop("ft06"), LIMITS, heard.append)
    assert heard[0].engine == "insertion"
    assert [one.objective for one in heard] == sorted({one.objective for one in heard})[::-1]
    assert best.objective == (55,)


def test_a_job_shop_the_engine_has_no_time_for_still_gets_an_answer() -> None:
    problem = job_shop("ft10")
    solution = solve(problem, LIMITS, stop=lambda: True)
    assert solution.engine == "insertion"
    assert check_solution(problem, solution) == []


@pytest.mark.parametrize(
    ("name", "makespan"),
    # Schwindt, Kolisch et al. (ProGen/max), optima proved.
    [("ubo10_psp2", 45), ("j10_psp1", 26)],
)
def test_projects_with_least_and_greatest_waits_are_solved_to_their_makespan(
    name: str, makespan: int
) -> None:
    assert _proved(project(name)).objective == (makespan,)


def test_the_number_of_late_jobs_is_that_of_the_textbook() -> None:
    # Pinedo, Scheduling (4th ed.), example 3.3.3: five jobs, two of them have to be late.
    draft = Draft(horizon=40)
    draft.person(Person("machine", ((0, 40),)))
    for length, due in zip((7, 8, 4, 6, 6), (9, 17, 18, 19, 21), strict=True):
        job = draft.task(Task(f"job due {due}", length, (0,), deadline=due))
        draft.group(Group(f"on time by {due}", (job,)))
    assert _proved(draft.problem()).objective[2] == 2


def test_the_greatest_lateness_is_that_of_the_textbook() -> None:
    # Pinedo, Scheduling (4th ed.), example 3.2.5: p 4 2 6 5, r 0 1 3 5, d 8 12 11 10: Lmax 5 by
    # the order 1, 3, 4, 2 only. Each job is followed by a tail of 20 - d, so that the makespan is
    # the greatest lateness plus 20.
    lengths, releases, dues = (4, 2, 6, 5), (0, 1, 3, 5), (8, 12, 11, 10)
    draft = Draft(horizon=60, goal=Goal.MAKESPAN)
    draft.station(Station("machine", 1))
    for length, release, due in zip(lengths, releases, dues, strict=True):
        job = draft.task(Task("job", length, demands=((0, 1),), release=release))
        draft.lag(Lag(job, draft.task(Task("tail", 20 - due)), 0))
    solution = _proved(draft.problem())
    assert solution.objective == (25,)
    starts = [solution.placements[2 * job].start for job in range(4)]  # type: ignore[union-attr]
    assert sorted(range(4), key=starts.__getitem__) == [0, 2, 3, 1]


def test_two_stages_with_waits_between_agree_with_trying_every_order() -> None:
    # The rule of Mitten (1959) gives the best same-order plan, 1-4-5-3-2 with makespan 29
    # (instance constructed). Without the same order for both stages the core may do no worse,
    # and trying every pair of orders says how much better it can be.
    first, second, waits = (3, 4, 6, 5, 2), (5, 2, 4, 6, 3), (6, 1, 0, 4, 10)
    draft = Draft(horizon=60, goal=Goal.MAKESPAN)
    draft.station(Station("stage 1", 1))
    draft.station(Station("stage 2", 1))
    for a, b, wait in zip(first, second, waits, strict=True):
        one = draft.task(Task("one", a, demands=((0, 1),)))
        two = draft.task(Task("two", b, demands=((1, 1),)))
        # The wait is from start to start; the second may not begin before the first has ended.
        draft.lag(Lag(one, two, a + wait, None, Anchor.START, Anchor.START))

    def makespan(order: tuple[int, ...], other: tuple[int, ...]) -> int:
        ends, at = {}, 0
        for job in order:
            at += first[job]
            ends[job] = at
        done = 0
        for job in other:
            done = max(done, ends[job] + waits[job]) + second[job]
        return done

    orders = list(permutations(range(5)))
    same = min(makespan(order, order) for order in orders)
    assert same == makespan((0, 3, 4, 2, 1), (0, 3, 4, 2, 1)) == 29
    best = min(makespan(order, other) for order in orders for other in orders)
    assert _proved(draft.problem()).objective == (best,)
