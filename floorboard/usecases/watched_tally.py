"""Take a tally while someone looks on: they see how far it is, and can stop it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, cast

from floorboard.shop.errors import FloorboardError
from floorboard.usecases.tally import take_tally

if TYPE_CHECKING:
    from collections.abc import Callable

    from floorboard.records.tally_model import Tally
    from floorboard.records.tally_past import Stretch
    from floorboard.shop.shop import Shop
    from floorboard.usecases.history_port import History

# What is read, in about the order in which it is read.
READS = {
    "castings": "castings",
    "works": "hands-on tasks",
    "castings_now": "castings in progress",
    "castings_at": "castings as they stood",
    "orders_known_since": "orders",
    "shop_known_since": "when the shop began",
    "reworks": "castings sent back",
    "batches": "batches",
    "weighed_batches": "what was weighed",
    "materials": "materials",
    "layers": "layers",
    "presences": "who was there",
    "flags": "odd entries",
    "log_counts": "the log's own counts",
    "finished_for_orders": "castings for orders",
}


class Stopped(FloorboardError):
    """The tally was stopped before it was done."""


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a tally is: what is being read, the how-manieth part of how many."""

    words: str
    part: int
    parts: int


class _WatchedHistory:
    """Says before each read what is read; whoever looks on may refuse by raising `Stopped`."""

    def __init__(self, history: History, look: Callable[[Progress], None]) -> None:
        self._history = history
        self._look = look
        self._asked: set[str] = set()

    def __getattr__(self, name: str) -> Any:
        if name in READS:
            self._asked.add(name)
            self._look(Progress(f"reading {READS[name]}", len(self._asked), len(READS) + 1))
        return getattr(self._history, name)


def watched_tally(
    history: History,
    shop: Shop,
    stretch: Stretch,
    title: str,
    order: str | None,
    look: Callable[[Progress], None],
) -> Tally:
    """Return the tally of a stretch.

    Parameters
    ----------
    look
        Called before each part of the work, in the thread that does it. Whatever it raises ends
        the work; nothing is written by a tally, so nothing is left half done.
    """
    watched = cast("History", _WatchedHistory(history, look))
    tally = take_tally(watched, shop, stretch, title, order)
    look(Progress("counting", len(READS) + 1, len(READS) + 1))
    return tally
