"""What the board imports before its first frame: nothing of the solver, of tables, of numbers."""

from __future__ import annotations

import subprocess
import sys

import pytest

# Each costs a tenth of a second or more, and none is needed to show the floor.
HEAVY = ("ortools", "sqlite_utils", "pandas", "numpy", "scipy", "aiohttp", "plotext", "pendulum")

FIRST_FRAME = """
import asyncio, sys, tempfile
from pathlib import Path
from floorboard.cli.compose import open_session
from floorboard.screens.app import BoardApp

database = sys.argv[1]
app = BoardApp(open_session(database, "bench"))
app.draw_up_plan = app.count_day = lambda: None

async def first_frame():
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert app.screen.query_one("#board").rows

asyncio.run(first_frame())
print(" ".join(sorted(sys.modules)))
"""


FIRST_LOOK = """
import asyncio, os, sys
from functools import partial
from floorboard.cli.look_ahead import LookAhead, look_at_database

look = LookAhead(partial(look_at_database, sys.argv[1])).take()
from floorboard.screens.app import BoardApp
from floorboard.screens.first_look import Opening

def opened():
    print(" ".join(sorted(sys.modules)), flush=True)
    os._exit(0)

async def first_look():
    async with BoardApp(Opening(look, opened)).run_test(size=(80, 24)) as pilot:
        await pilot.pause()

asyncio.run(first_look())
"""


def loaded(program: str, *arguments: str) -> set[str]:
    done = subprocess.run(
        [sys.executable, "-c", program, *arguments], capture_output=True, text=True, check=True
    )
    return {name.split(".")[0] for name in done.stdout.split()}


def test_the_first_frame_needs_no_heavy_library(tmp_path):
    from floorboard.store.sqlite_store import open_store
    from tests.tiny_shop import START, tiny_shop

    with open_store(tmp_path / "f.db") as store:
        store.load_shop(tiny_shop(), source="test", at=START, person=None, station="bench")
    assert loaded(FIRST_FRAME, str(tmp_path / "f.db")).isdisjoint(HEAVY)


def test_the_first_look_needs_neither_the_definitions_nor_the_database(tmp_path):
    from floorboard.store.sqlite_store import open_store
    from tests.tiny_shop import START, tiny_shop

    with open_store(tmp_path / "f.db") as store:
        store.load_shop(tiny_shop(), source="test", at=START, person=None, station="bench")
    seen = loaded(FIRST_LOOK, str(tmp_path / "f.db"))
    assert "textual" in seen
    assert seen.isdisjoint({*HEAVY, "pydantic", "sqlite3"})


@pytest.mark.parametrize("module", ["floorboard", "floorboard.cli.main"])
def test_help_and_version_need_no_screen(module: str) -> None:
    modules = loaded(f"import sys, {module}; print(' '.join(sys.modules))")
    assert modules.isdisjoint({*HEAVY, "textual", "rich"})
