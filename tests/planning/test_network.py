"""A network that is impossible in itself is refused, with everything that is wrong named."""

from dataclasses import replace

import pytest

from floorboard.planning.errors import NetworkError
from floorboard.planning.network import Anchor as At
from floorboard.planning.network import Group, Hold, Lag, Moment, Person, Planned, Task
from tests.planning.networks import casting


@pytest.mark.parametrize(
    ("field", "entry", "words"),
    [
        ("people", Person("Cy", ((5, 5),)), "some length"),
        ("people", Person("Cy", ((0, 5), (5, 9))), "break between"),
        ("tasks", Task("odd", -1), "lengths must be 0 or more"),
        ("tasks", Task("odd", 1, setup=2, dry_setup=3), "dry_setup within setup"),
        ("tasks", Task("odd", 0, (0,)), "at least 1 step"),
        ("tasks", Task("odd", 1, (0, 0)), "each listed once"),
        ("tasks", Task("odd", 1, (7,)), "people must be known"),
        ("tasks", Task("odd", 1, demands=((9, 1),)), "stations must be known"),
        ("tasks", Task("odd", 1, family=0), "needs people"),
        ("tasks", Task("odd", 1, (0,), family=4), "the family 4 is not known"),
        ("tasks", Task("odd", 1, (0,), follows=0), "only a task with a family"),
        ("tasks", Task("odd", 1, (0,), family=0, follows=2), "of the same family"),
        ("tasks", Task("odd", 1, (0,), fixed_start=-3, fixed_person=0), "let the grid begin"),
        ("tasks", Task("odd", 1, (0,), fixed_start=3), "say who does it"),
        ("tasks", Task("odd", 1, (0,), fixed_person=0), "has not started"),
        ("lags", Lag(0, 99), "a task that is not there"),
        ("lags", Lag(0, 1, 5, 4), "exceeds the greatest"),
        ("holds", Hold(9, 0, 5), "station 9"),
        ("holds", Hold(0, Moment(0, At.START), Moment(5, At.END)), "two groups"),
        ("holds", Hold(0, Moment(0, At.START), None, lost_until=4), "fixed step"),
        ("groups", Group("again", (0,)), "shares a task"),
        ("groups", Group("none", ()), "at least one"),
        ("groups", Group("odd", (0,), worth=-1), "must be 0 or more"),
        ("reference", Planned(77, 0), "names a task that is not there"),
    ],
)
def test_what_is_impossible_is_named(field: str, entry: object, words: str) -> None:
    draft = casting()
    getattr(draft, field).append(entry)
    with pytest.raises(NetworkError, match=words):
        draft.problem()


def test_all_findings_are_named_at_once() -> None:
    draft = casting()
    draft.tasks.append(Task("odd", -1))
    draft.lags.append(Lag(0, 99))
    with pytest.raises(NetworkError) as caught:
        draft.problem()
    assert "lengths must be" in str(caught.value)
    assert "not there" in str(caught.value)


def test_groups_said_to_be_interchangeable_must_look_alike() -> None:
    draft = casting()
    draft.tasks[4] = replace(draft.tasks[4], duration=6)
    with pytest.raises(NetworkError, match="second is said to be interchangeable with first"):
        draft.problem()
