"""What-if tables from a process beside this one: the same as here, and ended when not wanted."""

from __future__ import annotations

import io
import json
import pickle
import subprocess
import threading
from types import SimpleNamespace

import pytest

from floorboard.planning import whatif_beside
from floorboard.planning.beside_process import LENGTH, start_module
from floorboard.planning.scenario import Scenario
from floorboard.planning.whatif import what_if
from floorboard.planning.whatif_beside import NotWanted, WhatIfBeside
from floorboard.shop.errors import FloorboardError
from tests.planning import urn_shop as u

AS_IT_IS = [Scenario(name="as it is")]


def test_the_table_is_that_of_this_process() -> None:
    shop = u.shop_with()
    here = what_if(shop, u.EIGHT, AS_IT_IS, seconds=0, processes=1)
    assert WhatIfBeside().ask(shop, u.EIGHT, AS_IT_IS, 0) == here


def test_what_cannot_be_worked_out_is_said_in_its_sentence(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise FloorboardError("Mend the shop.")

    asked = pickle.dumps((u.shop_with(), u.EIGHT, tuple(AS_IT_IS), 0))
    asked = LENGTH.pack(len(asked)) + asked
    said = io.StringIO()
    monkeypatch.setattr(whatif_beside, "what_if", refuse)
    monkeypatch.setattr("sys.stdin", SimpleNamespace(buffer=io.BytesIO(asked)))
    monkeypatch.setattr("sys.stdout", said)
    monkeypatch.setattr("os.nice", lambda _: 0)
    # This process is not to end with its input.
    monkeypatch.setattr(whatif_beside, "_end_with", lambda _: None)
    whatif_beside.main()
    assert json.loads(said.getvalue()) == {"refused": "Mend the shop."}


def test_a_process_that_ends_without_an_answer_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    def ended(module: str) -> subprocess.Popen[bytes]:
        process = start_module(f"{module}.not_there")
        process.wait()
        return process

    monkeypatch.setattr(whatif_beside, "start_module", ended)
    with pytest.raises(FloorboardError, match="Choose it again"):
        WhatIfBeside().ask(u.shop_with(), u.EIGHT, AS_IT_IS, 0)


def test_closing_ends_the_process_and_whoever_waits_for_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    processes: list[subprocess.Popen[bytes]] = []
    outcomes: list[NotWanted] = []
    started, beside = threading.Event(), WhatIfBeside()

    def start(module: str) -> subprocess.Popen[bytes]:
        processes.append(start_module(module))
        started.set()
        return processes[0]

    def ask() -> None:
        try:
            # Long beyond what a test may take.
            beside.ask(u.shop_with(), u.EIGHT, AS_IT_IS, 1000.0)
        except NotWanted as ended:
            outcomes.append(ended)

    monkeypatch.setattr(whatif_beside, "start_module", start)
    waiting = threading.Thread(target=ask, daemon=True)
    waiting.start()
    assert started.wait(60.0)
    beside.close()
    waiting.join(60.0)
    assert len(outcomes) == 1
    assert processes[0].poll() is not None


def test_it_ends_when_whoever_asked_is_gone() -> None:
    asked = pickle.dumps((u.shop_with(), u.EIGHT, tuple(AS_IT_IS), 1000.0))
    with start_module("floorboard.planning.whatif_beside") as process:
        # When the one who asked dies, the system closes its end of the pipe.
        try:
            said, _ = process.communicate(LENGTH.pack(len(asked)) + asked, timeout=60.0)
        finally:
            process.kill()
    assert said == b""
