"""The process that betters plans beside the screen: ``python -m floorboard.planning.worker``.

It reads requests from its standard input (`improve.Request`, pickled behind its length: a floor
is plain dataclasses, and both ends are the same program) and writes messages as lines of JSON:

    {"kind": "better", "request": 3, "plan": {...}}     a plan better than the one before, checked
    {"kind": "chance", "request": 3, "chance": {...}}   how likely the plan, or the best, comes out
    {"kind": "done", "request": 3}                      the time is up, or nothing better can exist
    {"kind": "failed", "request": 3, "message": "..."}  what went wrong, in a sentence

A newer request, or one that asks to stop, ends the search for the one before. The process ends
when its input does, so it cannot outlive the screen that started it.
"""

from __future__ import annotations

import json
import os
import pickle
import queue
import sys
import threading
import time
from typing import TYPE_CHECKING, BinaryIO

from floorboard.planning.beside_process import LENGTH
from floorboard.planning.worth_following import worth_following

if TYPE_CHECKING:
    from floorboard.planning.improve import Job, Request
    from floorboard.planning.plan import Plan
    from floorboard.planning.shop_problem import ShopProblem
    from floorboard.planning.solution import Solution

NICENESS = 10

# Plans come at most this often; those in between nobody could follow.
LEAST_SECONDS_BETWEEN = 0.3


def read_request(stream: BinaryIO) -> Request | None:
    """Return the next request, None at the end of the stream."""
    head = stream.read(LENGTH.size)
    if len(head) < LENGTH.size:
        return None
    body = stream.read(LENGTH.unpack(head)[0])
    request: Request = pickle.loads(body)
    return request


class _Worker:
    def __init__(self, source: BinaryIO, sink: BinaryIO) -> None:
        self.source, self.sink = source, sink
        self.waiting: queue.Queue[Request] = queue.Queue()
        self.latest = 0

    def listen(self) -> None:
        """Take in requests until the input ends; then the process ends, search or no search."""
        while (request := read_request(self.source)) is not None:
            self.latest = request.number
            self.waiting.put(request)
        os._exit(0)

    def work(self) -> None:
        while True:
            request = self.waiting.get()
            if request.number != self.latest or request.job is None:
                continue
            try:
                self.better(request.number, request.job)
            except Exception as error:
                self.say(request.number, "failed", message=f"{type(error).__name__}: {error}")
            else:
                self.say(request.number, "done")

    def better(self, number: int, job: Job) -> None:
        """Search for plans better than the one of a job and send each, checked."""
        from floorboard.planning.planner import first_answer
        from floorboard.planning.search import improve
        from floorboard.planning.solution import Limits

        if job.plan is not None:
            self.say_chance(number, job, job.plan)
        source, start = first_answer(job.shop, job.floor, job.now, job.plan, job.horizon)
        sender = _Sender(self, number, job, source, start.objective)
        limits = Limits(seconds=job.seconds, seed=job.seed, workers=job.workers)
        best = improve(
            source.problem,
            start,
            limits,
            on_better=sender.offer,
            stop=lambda: self.latest != number,
        )
        sender.offer(best)
        sender.flush()
        if sender.plan is not None:
            self.say_chance(number, job, sender.plan)

    def say(self, number: int, kind: str, **more: str) -> None:
        self.write(json.dumps({"kind": kind, "request": number, **more}))

    def say_chance(self, number: int, job: Job, plan: Plan) -> None:
        """Send the chance of a plan, where it is asked for and still matters."""
        if job.chance_days <= 0 or self.latest != number:
            return
        from floorboard.planning.chance import chance_of

        found = chance_of(job.shop, job.floor, plan, job.paces, days=job.chance_days, seed=job.seed)
        head = f'{{"kind": "chance", "request": {number}, "chance": '
        self.write(head + found.model_dump_json() + "}")

    def send(self, number: int, plan: Plan) -> None:
        head = f'{{"kind": "better", "request": {number}, "plan": '
        self.write(head + plan.model_dump_json() + "}")

    def write(self, line: str) -> None:
        self.sink.write(line.encode() + b"\n")
        self.sink.flush()


class _Sender:
    """Sends solutions as checked plans, the better ones only and not too many."""

    def __init__(
        self,
        worker: _Worker,
        number: int,
        job: Job,
        source: ShopProblem,
        objective: tuple[int, ...],
    ) -> None:
        self.worker, self.number, self.job, self.source = worker, number, job, source
        self.sent = objective
        self.step = source.grid.step_seconds
        self.kept: Solution | None = None
        self.plan: Plan | None = None
        self.last = time.monotonic()

    def offer(self, solution: Solution) -> None:
        best = self.kept.objective if self.kept is not None else self.sent
        proved = solution.status.value == "optimal" and solution.objective == best
        if solution.found and (proved or worth_following(solution.objective, best, self.step)):
            self.kept = solution
        if time.monotonic() - self.last >= LEAST_SECONDS_BETWEEN:
            self.flush()

    def flush(self) -> None:
        from floorboard.planning.planner import checked_plan

        solution, self.kept = self.kept, None
        if solution is None or self.worker.latest != self.number:
            return
        plan = checked_plan(self.job.shop, self.job.floor, self.source, solution, self.job.plan)
        if plan is not None:
            self.worker.send(self.number, plan)
            self.sent, self.plan = solution.objective, plan
        self.last = time.monotonic()


def main() -> None:
    """Serve until the input ends."""
    if hasattr(os, "nice"):
        os.nice(NICENESS)
    source, sink = sys.stdin.buffer, sys.stdout.buffer
    # Whatever else is printed must not get between the messages.
    sys.stdout = sys.stderr
    worker = _Worker(source, sink)
    threading.Thread(target=worker.listen, daemon=True).start()
    threading.Thread(target=_warm, daemon=True).start()
    worker.work()


def _warm() -> None:
    """Import the planner and the solver while nobody waits for them."""
    import floorboard.planning.planner  # noqa: F401
    from floorboard.planning.cpsat.warm import warm

    warm()


if __name__ == "__main__":
    main()
