"""What the pictures of screens are taken of: the demo's day, its clock still, in colour."""

from __future__ import annotations

import shutil

import pytest

from floorboard.cli.board import fill_demo
from floorboard.cli.compose import ShopPlanner
from floorboard.floor.clock import FixedClock
from floorboard.store.sqlite_store import open_store
from floorboard.usecases.session import Session


@pytest.fixture
def colours(monkeypatch):
    """Take pictures in colour, whatever the terminal of the tests asks for."""
    monkeypatch.delenv("NO_COLOR", raising=False)


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    """The demo's database, filled once, and the moment its clock starts at."""
    path = tmp_path_factory.mktemp("demo") / "demo.db"
    store, start = fill_demo(path)
    store.close()
    return path, start


@pytest.fixture
def demo_session(demo, tmp_path):
    """A session on a copy of it."""
    path, start = demo
    store = open_store(shutil.copy(path, tmp_path / "demo.db"))
    yield Session(store, ShopPlanner(), FixedClock(start), "demo")
    store.close()
