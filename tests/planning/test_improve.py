"""Better plans from a process beside this one, which never outlives it."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator

import psutil
import pytest

from floorboard.floor.floor import Floor
from floorboard.planning.check_plan import check_plan
from floorboard.planning.improve import Improver
from floorboard.planning.planner import plan_shop
from floorboard.planning.worth_following import worth_following
from floorboard.shop.shop import Shop
from tests.planning import urn_shop as u

LONG = 60.0


@pytest.fixture(scope="module")
def shared() -> Iterator[Improver]:
    beside = Improver()
    yield beside
    beside.close()


@pytest.fixture
def improver(shared: Improver) -> Iterator[Improver]:
    """One process for the tests that leave it as it was: starting one takes longer than they do."""
    yield shared
    shared.stop()


@pytest.fixture
def own() -> Iterator[Improver]:
    beside = Improver()
    yield beside
    beside.close()


def busy_shop() -> Shop:
    """Five molds and one pair of hands: the first plan leaves something to be gained."""
    molds = {f"urn-{n}": {"number": n, "piece": "urn"} for n in range(1, 6)}
    people = {"ana": u.SHOP["people"]["ana"]}
    return u.shop_with(molds=molds, people=people)


def test_a_better_plan_comes_and_keeps_every_rule(improver: Improver) -> None:
    shop = busy_shop()
    first = plan_shop(shop, Floor(), u.EIGHT)
    improver.start(shop, Floor(), u.EIGHT, first, seconds=10)
    better = improver.wait(LONG)
    assert better is not None, improver.failure
    assert better.objective < first.objective
    assert check_plan(shop, Floor(), better) == []
    assert better.seq == first.seq


def test_a_search_ends_by_itself_when_its_time_is_up(improver: Improver) -> None:
    shop = busy_shop()
    improver.start(shop, Floor(), u.EIGHT, plan_shop(shop, Floor(), u.EIGHT), seconds=0.2)
    while improver.wait(LONG) is not None:
        pass
    assert not improver.busy
    assert improver.failure is None


def test_a_newer_floor_takes_the_place_of_the_one_before(improver: Improver) -> None:
    shop = busy_shop()
    improver.start(shop, Floor(), u.EIGHT, plan_shop(shop, Floor(), u.EIGHT), seconds=300)
    newer = Floor(last_seq=7)
    improver.start(shop, newer, u.EIGHT, plan_shop(shop, newer, u.EIGHT), seconds=10)
    better = improver.wait(LONG)
    assert better is not None
    assert better.seq == 7


def test_the_chance_of_a_plan_is_worked_out_there_too(improver: Improver) -> None:
    shop = busy_shop()
    plan = plan_shop(shop, Floor(), u.EIGHT)
    improver.start(shop, Floor(), u.EIGHT, plan, seconds=0.1, chance_days=200)
    while improver.wait(LONG) is not None:
        pass
    assert improver.chance is not None, improver.failure
    assert improver.chance.days == 200


def test_stopping_drops_what_was_looked_for(improver: Improver) -> None:
    shop = busy_shop()
    improver.start(shop, Floor(), u.EIGHT, plan_shop(shop, Floor(), u.EIGHT), seconds=300)
    improver.stop()
    assert not improver.busy
    assert improver.poll() is None


def test_closing_ends_the_process(own: Improver) -> None:
    own.start(busy_shop(), Floor(), u.EIGHT, None, seconds=300)
    pid = own.pid
    assert pid is not None
    own.close()
    assert not psutil.pid_exists(pid)


def test_a_process_that_dies_is_told_of_and_another_is_started(own: Improver) -> None:
    shop = busy_shop()
    own.start(shop, Floor(), u.EIGHT, None, seconds=300)
    assert own.pid is not None
    psutil.Process(own.pid).kill()
    assert own.wait(LONG) is None
    assert own.failure == "The process that betters plans ended; the plan shown stands."
    own.start(shop, Floor(), u.EIGHT, plan_shop(shop, Floor(), u.EIGHT), seconds=10)
    assert own.wait(LONG) is not None


PARENT = """
import os, sys
from floorboard.floor.floor import Floor
from floorboard.planning.improve import Improver
from tests.planning.test_improve import busy_shop
from tests.planning import urn_shop as u
improver = Improver()
improver.start(busy_shop(), Floor(), u.EIGHT, None, seconds=300)
print(improver.pid, flush=True)
sys.stdin.readline()
os._exit(1)
"""


def test_the_process_does_not_outlive_a_parent_that_is_killed() -> None:
    environment = {**os.environ, "PYTHONPATH": os.getcwd()}
    with subprocess.Popen(
        [sys.executable, "-c", PARENT],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        env=environment,
        text=True,
    ) as parent:
        assert parent.stdout is not None
        child = psutil.Process(int(parent.stdout.readline()))
        parent.kill()
        _, alive = psutil.wait_procs([child], timeout=LONG)
    assert alive == []


def test_the_solver_is_not_imported_beside_the_screen() -> None:
    code = (
        "import sys, floorboard.planning.improve, floorboard.planning.planner;"
        "assert not {'ortools', 'pandas', 'numpy'} & set(sys.modules), sorted(sys.modules)"
    )
    subprocess.run(
        [sys.executable, "-c", code], check=True, env={**os.environ, "PYTHONPATH": os.getcwd()}
    )


def test_a_slightly_earlier_finish_is_not_worth_moving_people_about() -> None:
    followed = (0, 0, 5000, 10_000, 0)
    assert worth_following((0, 0, 4000, 12_000, 30), followed, 30)
    assert not worth_following((0, 0, 5000, 9_980, 8), followed, 30)
    assert worth_following((0, 0, 5000, 9_900, 8), followed, 30)
    assert worth_following((0, 0, 5000, 9_999, 0), followed, 30)
    assert not worth_following((0, 0, 5000, 10_001, 0), followed, 30)
