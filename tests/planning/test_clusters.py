"""Clusters: those of interchangeable groups are found once and moved, and are just the same."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings

from floorboard.floor.floor import Floor
from floorboard.planning.build_problem import build_problem
from floorboard.planning.clusters import clusters_of
from floorboard.planning.network import Lag, Problem
from tests.planning import urn_shop as u
from tests.planning.networks import networks


def one_by_one(problem: Problem) -> tuple[object, ...]:
    """Return the clusters of the same network with no groups said to be interchangeable."""
    groups = tuple(replace(group, alike=None) for group in problem.groups)
    return clusters_of(replace(problem, groups=groups))


@settings(max_examples=40)
@given(networks())
def test_groups_said_to_be_alike_have_the_clusters_they_have_on_their_own(problem: Problem) -> None:
    assert clusters_of(problem) == one_by_one(problem)


def test_so_have_the_castings_of_a_shop() -> None:
    problem = build_problem(u.shop_with(), Floor(), u.EIGHT).problem
    assert len({group.alike for group in problem.groups}) < len(problem.groups)
    assert clusters_of(problem) == one_by_one(problem)


def test_a_wait_of_one_group_alone_is_not_lent_to_its_like() -> None:
    problem = build_problem(u.shop_with(), Floor(), u.EIGHT).problem
    second = next(
        group
        for group in problem.groups[1:]
        if group.alike is not None and group.alike == problem.groups[0].alike
    )
    more = Lag(second.tasks[0], second.tasks[-1], least=10_000)
    longer = replace(problem, lags=(*problem.lags, more))
    assert clusters_of(longer) == one_by_one(longer)
    assert clusters_of(longer) != clusters_of(problem)
