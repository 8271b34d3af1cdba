"""Better plans from a process beside the screen.

The solver's import and its work stay out of the screen's process: `Improver` hands shop, floor
and the plan being followed to a niced process and takes back better plans as they are found.
"""

from __future__ import annotations

import contextlib
import json
import pickle
import queue
import threading
import time
import weakref
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from floorboard.planning.beside_process import LENGTH, start_module
from floorboard.planning.chance import Chance
from floorboard.planning.plan import Plan

if TYPE_CHECKING:
    import datetime as dt
    import subprocess
    from collections.abc import Mapping

    from floorboard.floor.floor import Floor
    from floorboard.planning.pace import Pace
    from floorboard.planning.plan import TaskKind
    from floorboard.shop.shop import Shop

DEFAULT_SECONDS = 20.0

# A process that ends this often without being told to is not started again.
MOST_STARTS = 3


@dataclass(frozen=True, slots=True)
class Job:
    """What to better: a plan of this floor at this moment, for so long."""

    shop: Shop
    floor: Floor
    now: dt.datetime
    plan: Plan | None
    horizon: dt.datetime | None
    seconds: float
    seed: int
    workers: int
    paces: Mapping[TaskKind, Pace] | None = None
    chance_days: int = 0


@dataclass(frozen=True, slots=True)
class Request:
    """A job for the process; with none it only drops the one before."""

    number: int
    job: Job | None


class Improver:
    """Betters a plan beside the screen.

    `start` with every new floor and plan, `poll` now and then, `close` at the end (also done at
    exit, and the process ends by itself when this one does). None of them waits.

    Attributes
    ----------
    failure
        A sentence on what went wrong last, or None.
    chance
        The chance of the plan of the last start, or of the best one found since; None until it
        is worked out.
    """

    def __init__(self) -> None:
        self.failure: str | None = None
        self.chance: Chance | None = None
        self._process: subprocess.Popen[bytes] | None = None
        self._messages: queue.Queue[dict[str, Any]] = queue.Queue()
        self._requests: queue.Queue[bytes | None] = queue.Queue()
        self._number = 0
        self._starts = 0
        self._busy = False

    @property
    def busy(self) -> bool:
        """Whether a search is going on."""
        return self._busy

    @property
    def pid(self) -> int | None:
        """The number of the process, None when there is none."""
        return self._process.pid if self._process is not None else None

    def warm(self) -> None:
        """Start the process ahead of the first plan; it takes a second to be ready."""
        if self._process is None:
            self._begin()

    def start(
        self,
        shop: Shop,
        floor: Floor,
        now: dt.datetime,
        plan: Plan | None,
        *,
        horizon: dt.datetime | None = None,
        seconds: float = DEFAULT_SECONDS,
        seed: int = 1,
        workers: int = 1,
        paces: Mapping[TaskKind, Pace] | None = None,
        chance_days: int = 0,
    ) -> None:
        """Look for plans better than `plan`; what was looked for before is dropped.

        Parameters
        ----------
        plan
            The plan made for this floor at this moment (`plan_shop`).
        seconds
            How long to look at most.
        workers
            Threads of the exact engine; one while a screen is in use.
        paces, chance_days
            With days, also work out the chance of the plan and of the best one found
            (`chance.chance_of`); it comes to stand in `chance`.
        """
        self._number += 1
        job = Job(shop, floor, now, plan, horizon, seconds, seed, workers, paces, chance_days)
        self.chance = None
        self._busy = self._ask(Request(self._number, job))

    def poll(self) -> Plan | None:
        """Return the best plan that came since the last poll, None if none did.

        The plan has passed the checker. Its `seq` says which floor it is for.
        """
        found: Plan | None = None
        with contextlib.suppress(queue.Empty):
            while True:
                found = self._take(self._messages.get_nowait()) or found
        return found

    def wait(self, seconds: float) -> Plan | None:
        """Wait for the next better plan; None when the search ends or the time is up before."""
        until = time.monotonic() + seconds
        with contextlib.suppress(queue.Empty):
            while self._busy:
                left = max(0.0, until - time.monotonic())
                found = self._take(self._messages.get(timeout=left))
                if found is not None:
                    return found
        return None

    def _take(self, message: dict[str, Any]) -> Plan | None:
        """Take note of a message; return its plan if it is one that still matters."""
        if message["kind"] == "ended":
            self._ended(message["pid"])
        elif message["request"] == self._number:
            if message["kind"] == "better":
                return Plan.model_validate(message["plan"])
            if message["kind"] == "chance":
                self.chance = Chance.model_validate(message["chance"])
                return None
            self._busy = False
            if message["kind"] == "failed":
                self.failure = f"No better plan was looked for: {message['message']}"
        return None

    def stop(self) -> None:
        """Stop looking; the process stays ready for the next start."""
        if self._busy and self._process is not None:
            self._number += 1
            self._send(Request(self._number, None))
        self._busy = False

    def close(self) -> None:
        """End the process."""
        self._busy = False
        process, self._process = self._process, None
        if process is not None:
            self._requests.put(None)
            _end(process)

    def _ask(self, request: Request) -> bool:
        if self._process is None and not self._begin():
            return False
        self._send(request)
        return True

    def _send(self, request: Request) -> None:
        body = pickle.dumps(request, protocol=pickle.HIGHEST_PROTOCOL)
        self._requests.put(LENGTH.pack(len(body)) + body)

    def _begin(self) -> bool:
        """Start the process and the two threads that write to it and read from it."""
        if self._starts >= MOST_STARTS:
            return False
        self._starts += 1
        try:
            process = start_module("floorboard.planning.worker")
        except OSError as error:
            self.failure = f"Plans are not bettered, for no process could be started: {error}."
            return False
        self._process, self._requests = process, queue.Queue()
        writer = threading.Thread(target=_write, args=(process, self._requests), daemon=True)
        reader = threading.Thread(
            target=_read, args=(process, self._requests, self._messages), daemon=True
        )
        writer.start()
        reader.start()
        # Also runs when this process exits.
        weakref.finalize(self, _end, process)
        return True

    def _ended(self, pid: int) -> None:
        """Note that the process ended; unless it was told to, the next start begins another."""
        if self._process is not None and self._process.pid == pid:
            self._process.wait()
            self._process, self._busy = None, False
            self.failure = "The process that betters plans ended; the plan shown stands."


def _write(process: subprocess.Popen[bytes], requests: queue.Queue[bytes | None]) -> None:
    """Write requests, so that nobody waits for a process that is slow to read."""
    assert process.stdin is not None
    with contextlib.suppress(OSError, ValueError):
        while (request := requests.get()) is not None:
            process.stdin.write(request)
            process.stdin.flush()
    with contextlib.suppress(OSError):
        process.stdin.close()


def _read(
    process: subprocess.Popen[bytes],
    requests: queue.Queue[bytes | None],
    messages: queue.Queue[dict[str, Any]],
) -> None:
    """Take in messages until there are no more."""
    assert process.stdout is not None
    with contextlib.suppress(OSError, ValueError):
        for line in process.stdout:
            with contextlib.suppress(json.JSONDecodeError):
                messages.put(json.loads(line))
    process.stdout.close()
    requests.put(None)
    messages.put({"kind": "ended", "request": 0, "pid": process.pid})


def _end(process: subprocess.Popen[bytes]) -> None:
    """End a process now: it holds nothing that could be lost."""
    if process.poll() is None:
        process.kill()
        process.wait()
