"""What-if tables from a process beside the screen: ``python -m floorboard.planning.whatif_beside``.

It reads what is asked from its standard input, pickled (both ends are the same program), and writes
one line of JSON to its standard output: `{"found": {...}}`, or `{"refused": "..."}` with a sentence.
It takes both cores, gives way to the screen, and ends when it is no longer wanted.
"""

from __future__ import annotations

import contextlib
import json
import os
import pickle
import sys
import threading
from typing import TYPE_CHECKING, BinaryIO

from floorboard.planning.beside_process import LENGTH, start_module
from floorboard.planning.side_processes import NICENESS
from floorboard.planning.whatif import WhatIf, what_if
from floorboard.shop.errors import FloorboardError

if TYPE_CHECKING:
    import datetime as dt
    import subprocess
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
        self._changing = threading.Lock()

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
        with self._changing:
            process = self._process = _started()
        body = pickle.dumps((shop, now, tuple(scenarios), seconds))
        said = b""
        # A process that has ended already is told by its silence.
        with contextlib.suppress(BrokenPipeError), process:
            assert process.stdin is not None
            assert process.stdout is not None
            process.stdin.write(LENGTH.pack(len(body)) + body)
            process.stdin.flush()
            said = process.stdout.read()
        with self._changing:
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
        with self._changing:
            process, self._process = self._process, None
        if process is not None and process.poll() is None:
            process.kill()


def _started() -> subprocess.Popen[bytes]:
    try:
        return start_module("floorboard.planning.whatif_beside")
    except OSError as error:
        raise FloorboardError(f"No process could be started to work it out: {error}.") from None


def main() -> None:
    """Answer the one request; end at once when whoever asked is gone."""
    if hasattr(os, "nice"):
        os.nice(NICENESS)
    source, sink = sys.stdin.buffer, sys.stdout
    # Whatever else is printed must not get before the answer.
    sys.stdout = sys.stderr
    (length,) = LENGTH.unpack(source.read(LENGTH.size))
    shop, now, scenarios, seconds = pickle.loads(source.read(length))
    threading.Thread(target=_end_with, args=(source,), daemon=True).start()
    try:
        found = what_if(shop, now, scenarios, seconds=seconds)
        sink.write(f'{{"found": {found.model_dump_json()}}}\n')
    except FloorboardError as refusal:
        sink.write(json.dumps({"refused": str(refusal)}) + "\n")
    sink.flush()


def _end_with(source: BinaryIO) -> None:
    source.read()
    os._exit(0)


if __name__ == "__main__":
    main()
