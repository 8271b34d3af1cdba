"""Start a module of this program as a process beside it, with pipes to talk through."""

from __future__ import annotations

import os
import struct
import subprocess
import sys
from pathlib import Path

LENGTH = struct.Struct("!I")
"""What stands before each pickled request: its length."""


def start_module(module: str) -> subprocess.Popen[bytes]:
    """Start `python -m module`; it finds this very program, wherever that was started from.

    Raises
    ------
    OSError
        If no process can be started.
    """
    root = str(Path(__file__).resolve().parents[2])
    environment = dict(os.environ)
    known = environment.get("PYTHONPATH")
    environment["PYTHONPATH"] = root if not known else root + os.pathsep + known
    return subprocess.Popen(
        [sys.executable, "-m", module],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        env=environment,
    )
