"""The shortest repeating round: published, tried out whole on tiny rounds, and checked."""

import tomllib
from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floorboard.planning.check_rotation import check_rotation
from floorboard.planning.errors import NetworkError
from floorboard.planning.network import Family
from floorboard.planning.published import line_of_tanks
from floorboard.planning.rotation import (
    Move,
    Rotation,
    RotationProblem,
    Soak,
    Turn,
    round_of_molds,
    shortest_round,
)
from floorboard.planning.rotation_bounds import least_period
from floorboard.planning.rotation_waves import best_wave
from floorboard.shop.locations import shared_file


def test_the_published_line_of_tanks_has_its_shortest_cycle_proved() -> None:
    # Phillips & Unger (1976): 521 (figures from memory, optimum proved).
    problem = line_of_tanks("phillips_unger")
    best = shortest_round(problem, seconds=120, deterministic=20)
    assert (best.period, best.bound, best.proved) == (521, 521, True)
    assert check_rotation(problem, best) == []


def test_the_published_optimum_keeps_every_rule_and_one_step_less_does_not() -> None:
    problem = line_of_tanks("phillips_unger")
    text = shared_file("instances/phillips_unger.toml").read_text(encoding="utf-8")
    starts = tomllib.loads(text)["one_optimum"]
    turns = tuple(
        Turn(start, start, start + move.duration, 0)
        for start, move in zip(starts, problem.moves, strict=True)
    )
    assert check_rotation(problem, Rotation(521, turns, 521)) == []
    assert check_rotation(problem, Rotation(520, turns, 520)) != []


# The longest shortest round of 1500 that were drawn took 14.
LONGEST_TRIED = 16

moves = st.builds(
    Move,
    name=st.just("move"),
    duration=st.integers(1, 2),
    setup=st.integers(0, 1),
    family=st.sampled_from((None, 0)),
    weight=st.integers(1, 2),
)


@st.composite
def rounds(draw: st.DrawFn) -> RotationProblem:
    """Draw a tiny round of one or two people, of one chain of moves or of two molds."""
    count, people = draw(st.sampled_from(((1, 2), (2, 2), (3, 1), (3, 1))))
    drawn = tuple(draw(moves) for _ in range(count))
    # Each begins at one of three places in a line, and ends there or at the next.
    begins = [draw(st.integers(0, 2)) for _ in range(count)]
    ends = [place + draw(st.integers(0, 1)) for place in begins]
    walks = tuple(tuple(abs(end - place) for place in begins) for end in ends)
    soaks = []
    for before in range(count - 1):
        least = draw(st.integers(0, 3))
        greatest = draw(st.sampled_from((None, least, least + 2)))
        soaks.append(Soak(before, before + 1, least, greatest))
    circles: tuple[tuple[tuple[int, ...], int], ...] = ()
    if draw(st.booleans()):
        soaks.append(Soak(count - 1, 0, draw(st.integers(0, 2))))
        circles = ((tuple(range(count)), 1),)
    families = (Family("gypsum", 3, 5),)
    return RotationProblem(drawn, tuple(soaks), walks, circles, families, people)


def _shortest_by_trying(problem: RotationProblem, longest: int) -> int | None:
    """Try every moment, person and batch for every period from 1 on.

    A round is a circle, so the first move may be READY at its begin.
    """
    count = len(problem.moves)
    riders = [
        [None, *(j for j in range(count) if j != i)] if problem.moves[i].family == 0 else [None]
        for i in range(count)
    ]
    for period in range(1, longest + 1):
        for others in product(range(period), repeat=count - 1):
            for people in product(range(problem.people), repeat=count):
                for previous in product(*riders):
                    turns = []
                    for index, (move, at) in enumerate(
                        zip(problem.moves, (0, *others), strict=True)
                    ):
                        setup = move.setup if previous[index] is None else 0
                        end = at + move.duration
                        turns.append(Turn(at - setup, at, end, people[index], previous[index]))
                    if not check_rotation(problem, Rotation(period, tuple(turns), 0)):
                        return period
    return None


@settings(max_examples=20, deadline=None)
@given(rounds())
def test_the_shortest_round_is_that_of_trying_everything(problem: RotationProblem) -> None:
    best = shortest_round(problem, seconds=60)
    assert best.proved or best.impossible
    if best.period is not None:
        assert check_rotation(problem, best) == []
    assert best.period == _shortest_by_trying(problem, best.period or LONGEST_TRIED)


# The search takes the bound for granted where molds go round, so it is tested without the search.
@settings(max_examples=20, deadline=None)
@given(rounds().filter(lambda problem: least_period(problem) > 1))
def test_no_round_is_shorter_than_the_bound_known_before(problem: RotationProblem) -> None:
    assert _shortest_by_trying(problem, least_period(problem) - 1) is None


unshared = st.builds(
    Move, name=st.just("move"), duration=st.integers(1, 2), setup=st.integers(0, 3)
)


@settings(max_examples=20, deadline=None)
@given(st.lists(st.tuples(unshared, st.integers(0, 3)), min_size=1, max_size=3))
def test_the_bound_of_one_mold_served_by_one_person_is_its_round(
    steps: list[tuple[Move, int]],
) -> None:
    # With no walk, batch or greatest soak, a set-up is made within the soak before it if it fits.
    served = tuple(move for move, _ in steps)
    after = (*served[1:], served[0])
    problem = round_of_molds(((served, tuple((least, None) for _, least in steps)),))
    by_hand = sum(
        move.duration + max(least, then.setup)
        for (move, least), then in zip(steps, after, strict=True)
    )
    assert least_period(problem) == by_hand
    assert _shortest_by_trying(problem, by_hand) == by_hand


GOOD = (Turn(0, 4, 9, 0), Turn(17, 17, 20, 0), Turn(9, 9, 14, 0, 0), Turn(14, 14, 17, 0))
"""A round of 20 of two molds: pours on one batch, then the second is demolded, then the first."""

TWO_MOLDS = round_of_molds(
    (((Move("pour", 5, 4, 0, 0, 2), Move("demold", 3)), ((0, 60), (0, None))),) * 2,
    families=(Family("gypsum", 4, 14),),
)


def _turned(index: int, turn: Turn) -> tuple[Turn, ...]:
    return tuple(turn if place == index else kept for place, kept in enumerate(GOOD))


@pytest.mark.parametrize(
    ("rule", "amount", "problem", "turns"),
    [
        ("length", 1, TWO_MOLDS, _turned(1, Turn(17, 17, 21, 0))),
        ("skill", 1, TWO_MOLDS, _turned(1, Turn(17, 17, 20, 3))),
        # The next round begins at 20, so a demold at 18-21 is in the way of its mixing.
        ("one_task", 1, TWO_MOLDS, _turned(1, Turn(18, 18, 21, 0))),
        ("batch", 1, TWO_MOLDS, _turned(2, Turn(10, 10, 15, 0, 0))),
        ("batch", 1, TWO_MOLDS, _turned(2, Turn(9, 9, 14, 0, 2))),
        ("batch", 1, TWO_MOLDS, _turned(2, Turn(9, 9, 14, 0, 1))),
        ("batch_weight", 1, replace(TWO_MOLDS, families=(Family("gypsum", 3, 14),)), GOOD),
        ("batch_span", 2, replace(TWO_MOLDS, families=(Family("gypsum", 4, 12),)), GOOD),
        ("least_wait", 2, replace(TWO_MOLDS, soaks=(Soak(0, 1, 10), *TWO_MOLDS.soaks[1:])), GOOD),
        (
            "greatest_wait",
            3,
            replace(TWO_MOLDS, soaks=(Soak(0, 1, 0, 5), *TWO_MOLDS.soaks[1:])),
            GOOD,
        ),
        ("circle", 20, replace(TWO_MOLDS, circles=(((0, 1), 2),)), GOOD),
    ],
)
def test_a_broken_round_is_named_with_its_amount(
    rule: str, amount: int, problem: RotationProblem, turns: tuple[Turn, ...]
) -> None:
    assert check_rotation(TWO_MOLDS, Rotation(20, GOOD, 20)) == []
    found = check_rotation(problem, Rotation(20, turns, 20))
    assert (rule, amount) in [(breach.rule, breach.amount) for breach in found]


def test_waves_are_a_round_at_once_that_the_search_starts_from() -> None:
    # Four layers by hand with a mixing each, demold and ready: three molds on one batch a layer.
    layers = tuple(Move(f"layer {n}", 7, 2, 0, 0, 2) for n in range(4))
    moves = (*layers, Move("demold", 3), Move("ready", 2))
    soaks = ((15, 30),) * 3 + ((35, None), (0, None), (0, 30))
    problem = round_of_molds(((moves, soaks),) * 3, families=(Family("gypsum", 6, 30),))
    wave = best_wave(problem)
    assert wave is not None
    assert check_rotation(problem, wave) == []
    assert sum(turn.previous is not None for turn in wave.turns) >= 4
    found = shortest_round(problem, seconds=30, deterministic=0.2)
    assert found.period is not None
    assert wave.period is not None
    assert found.period <= wave.period
    assert check_rotation(problem, found) == []


def test_more_molds_than_hands_can_serve_only_lengthen_the_round() -> None:
    # One mold: pour 5, soak 20-60, demold 3, and it may be poured again at once: 28 in all.
    # Hands are needed for 8 of it, so three molds fit into one round (24), four do not (32).
    mold = ((Move("pour", 5), Move("demold", 3)), ((20, 60), (0, None)))
    periods = [shortest_round(round_of_molds((mold,) * n)).period for n in (1, 2, 3, 4)]
    assert periods == [28, 28, 28, 32]
    # Two people serve four in the time of one mold.
    assert shortest_round(round_of_molds((mold,) * 4, people=2)).period == 28


def test_a_shared_batch_shortens_the_round() -> None:
    # Each pour is mixed for 4 minutes; two molds on one batch save one of the mixings:
    # 4 + 5 + 5 for the pours and 3 + 3 for the demolds are 20, without sharing 24.
    mold = ((Move("pour", 5, 4, 0, 0, 2), Move("demold", 3)), ((3, 60), (0, None)))
    shared = shortest_round(round_of_molds((mold, mold), families=(Family("gypsum", 4, 20),)))
    alone = shortest_round(round_of_molds((mold, mold), families=(Family("gypsum", 3, 20),)))
    assert (shared.period, alone.period) == (20, 24)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"moves": ()}, "needs a move"),
        ({"walks": ((0,),)}, "table of 2 rows"),
        ({"walks": ((0, -1), (0, 0))}, "0 or more"),
        ({"soaks": (Soak(0, 5, 1),)}, "not there"),
        ({"soaks": (Soak(0, 1, 5, 4),)}, "least soak is longer"),
        ({"circles": (((7,), 1),)}, "A circle names"),
        ({"moves": (Move("a", 1), Move("b", 0))}, "b: impossible lengths"),
        ({"moves": (Move("a", 1), Move("b", 1, family=3))}, "family 3 is not known"),
        ({"walks": ((0, 0), (0, 4))}, "The walk from b to b is 3 longer than by way of a"),
    ],
)
def test_an_impossible_round_is_refused(changes: dict[str, object], words: str) -> None:
    problem = RotationProblem((Move("a", 1), Move("b", 1)), (Soak(0, 1, 1),), ((0, 0), (0, 0)))
    with pytest.raises(NetworkError, match=words):
        replace(problem, **changes)  # type: ignore[arg-type]


def test_five_molds_that_need_all_hands_and_walks_are_proved_to_need_them() -> None:
    # Four layers of 7 min after 2 of mixing and a walk of 2: 44 min of one person for every mold.
    layers = tuple(Move(f"layer {n}", 7, 2) for n in range(4))
    molds = ((layers, ((15, 40), (15, 40), (15, 40), (35, None))),) * 5
    problem = round_of_molds(molds, walk=2)
    assert least_period(problem) == 5 * 4 * (7 + 2 + 2)
    best = shortest_round(problem, seconds=60, deterministic=10)
    assert (best.period, best.proved) == (220, True)
    assert check_rotation(problem, best) == []


def test_soaks_that_no_round_can_keep_are_said_to_have_none() -> None:
    # From a to c by way of b are 5 + 1 + 5, which is the soak of 3 only in a round of 8.
    chain = (Move("a", 1), Move("b", 1), Move("c", 1))
    soaks = (Soak(0, 1, 5, 5), Soak(1, 2, 5, 5), Soak(0, 2, 3, 3))
    problem = RotationProblem(chain, soaks, ((0,) * 3,) * 3)
    best = shortest_round(problem)
    assert (best.period, best.proved, best.impossible) == (8, True, False)
    assert check_rotation(problem, best) == []
    # Back at a one later it is a way of 14 in all, which is not three rounds of any length.
    none = shortest_round(
        replace(problem, soaks=(*soaks[:2], Soak(2, 0, 1, 1)), circles=(((0, 1, 2), 3),))
    )
    assert (none.period, none.impossible) == (None, True)
