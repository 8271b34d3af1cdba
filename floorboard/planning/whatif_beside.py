"""What-if tables from a process beside the screen: ``python -m floorboard.planning.whatif_beside``.

It reads what is asked from its standard input, pickled (both ends are the same program), and writes
one line of JSON to its standard output: `{"found": {...}}`, or `{"refused": "..."}` with a sentence.
It takes both cores, gives way to the screen, and ends when it is no longer wanted.
"""

from __future__ import annotations

import json
import os
import pickle
import subprocess
import sys
import threading
from typing import TYPE_CHECKING

from floorboard.planning.side_processes import NICENESS, own_environment
from floorboard.planning.whatif import WhatIf, what_if
from floorboard.shop.errors import FloorboardError

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Sequence

    from floorboard.planning.scenario import Scenario
    from floorboard.shop.shop import Shop


class NotWanted(Exception):
    """The process was ended before it had answered."""


class WhatIfBeside:
    """Asks for one table at a time; `close` ends what is being worked out."""

    def __init__(self) -> None:
        self._process: subprocess.Popen[bytes] | None = None
        # Closed while one is just being started, that one has to end as well.
        self._starting = threading.Lock()

    def ask(
        self, shop: Shop, now: dt.datetime, scenarios: Sequence[Scenario], seconds: float
    ) -> WhatIf:
        """Return the table of `what_if`. Waits for it: call it in a thread.

        Raises
        ------
        NotWanted
            If `close` was called meanwhile.
        floorboard.shop.errors.FloorboardError
            In a sentence, if it cannot be worked out.
        """
        self.close()
        with self._starting:
            process = self._process = _started()
        said, _ = process.communicate(pickle.dumps((shop, now, tuple(scenarios), seconds)))
        if process is not self._process:
            raise NotWanted
        self._process = None
        if not said:
            raise FloorboardError("The process that works it out ended. Choose it again.")
        answer = json.loads(said)
        if "refused" in answer:
            raise FloorboardError(answer["refused"])
        return WhatIf.model_validate(answer["found"])

    def close(self) -> None:
        """End the process, if one is at work: it holds nothing that could be lost."""
        with self._starting:
            process, self._process = self._process, None
        if process is not None and process.poll() is None:
            process.kill()


def _started() -> subprocess.Popen[bytes]:
    try:
        return subprocess.Popen(
            [sys.executable, "-m", "floorboard.planning.whatif_beside"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env=own_environment(),
        )
    except OSError as error:
        raise FloorboardError(f"No process could be started to work it out: {error}.") from None


def main() -> None:
    """Answer the one request."""
    if hasattr(os, "nice"):
        os.nice(NICENESS)
    sink = sys.stdout
    # Whatever else is printed must not get before the answer.
    sys.stdout = sys.stderr
    shop, now, scenarios, seconds = pickle.loads(sys.stdin.buffer.read())
    try:
        found = what_if(shop, now, scenarios, seconds=seconds)
        sink.write(f'{{"found": {found.model_dump_json()}}}\n')
    except FloorboardError as refusal:
        sink.write(json.dumps({"refused": str(refusal)}) + "\n")


if __name__ == "__main__":
    main()
