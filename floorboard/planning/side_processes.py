"""Run the same work on many cases in processes beside this one, on all cores."""

from __future__ import annotations

import multiprocessing
import os
import threading
from concurrent.futures import ProcessPoolExecutor
from multiprocessing.connection import wait
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

Case = TypeVar("Case")
Answer = TypeVar("Answer")

NICENESS = 10

# Fewer cases than this are quicker done here than processes started.
FEWEST = 2


def map_beside(
    function: Callable[[Case], Answer], cases: Sequence[Case], processes: int | None = None
) -> list[Answer]:
    """Return the answers of a function for each case, in order.

    Parameters
    ----------
    function
        Of a module, so that another process can import it; cases and answers are pickled.
    processes
        How many at once; by default one a core, 1 to stay in this process.
    """
    wanted = processes if processes is not None else os.cpu_count() or 1
    if wanted <= 1 or len(cases) < FEWEST:
        return [function(case) for case in cases]
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(
        min(wanted, len(cases)), mp_context=context, initializer=_settle_in
    ) as pool:
        return list(pool.map(function, cases))


def _settle_in() -> None:
    """Give way to the screen, and end when the process that started this one does."""
    if hasattr(os, "nice"):
        os.nice(NICENESS)
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_end_with, args=(parent.sentinel,), daemon=True).start()


def _end_with(sentinel: int) -> None:
    wait([sentinel])
    os._exit(1)
